"""What each job answers, one file a subject: everything a renderer shows."""
