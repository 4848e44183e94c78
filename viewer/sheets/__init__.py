"""Paper sheets to a true scale: their frame, and what is drawn in it."""
