"""Values to text, JSON, pages, figures and labels. Computes nothing; imports ``values`` only."""
