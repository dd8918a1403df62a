"""Edge in: a user's files become values, with every problem found in one pass. Imports ``values`` only."""
