"""What arrives at the ball: contact, presentation of the face, its causes, unload timing and ranking."""
