"""What a hostile or careless hand could give the program, and what must be true of each answer."""
