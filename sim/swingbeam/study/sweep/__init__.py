"""Studies: many swings into one file. What is swung (`problem`), how it is run and kept, and what drives the answer."""
