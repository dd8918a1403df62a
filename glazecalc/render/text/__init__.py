"""What the terminal shows, one file a job."""
