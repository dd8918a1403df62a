"""Jobs behind what is printed: pages, pictures and labels, all worked out before anything is drawn."""
