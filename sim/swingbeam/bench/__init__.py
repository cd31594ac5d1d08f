"""Static readings on a raw shaft, one test a file, each with its set-up stated."""
