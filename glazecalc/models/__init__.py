"""Published or fitted estimates as array functions, which say how far they may be wrong."""
