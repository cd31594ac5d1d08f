"""The head, its face, and the club built from shaft, head and grip."""
