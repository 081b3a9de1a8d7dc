"""What a body of its kind looks like: geometry alone, of our own drawing; nothing is computed from it."""
