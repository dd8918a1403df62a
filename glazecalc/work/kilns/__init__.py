"""Jobs with the kiln: circuits, reach, place and cost, schedules, learning from recorded firings."""
