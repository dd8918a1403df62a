"""Edge in and out: the studio's journal of tiles, firings and batches. Imports ``values`` only."""
