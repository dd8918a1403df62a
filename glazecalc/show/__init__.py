"""Edge out: values become text, JSON, pages, figures and labels. Computes nothing; imports ``values`` only."""
