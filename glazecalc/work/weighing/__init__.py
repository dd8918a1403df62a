"""Jobs at the scale: a batch sheet with its water and errors, mending a slip of the hand, shopping."""
