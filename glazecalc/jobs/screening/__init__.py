"""The parts of a screening: rows read, columns understood, estimates of any number of rows, figures as text."""
