"""Jobs with what was recorded: what tiles say of a clay, which tile to fire next, what is known of a clay."""
