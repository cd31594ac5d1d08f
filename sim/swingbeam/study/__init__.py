"""One question asked of many clubs: run it, and keep the answer."""
