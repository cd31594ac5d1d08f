"""Reading and writing files: the edge where a person's text becomes checked records."""
