"""The edge: files to values and back, every Problem found in one pass; the journal. Imports ``values`` only."""
