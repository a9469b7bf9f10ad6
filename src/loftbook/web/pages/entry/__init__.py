"""Writing results down, one turn at a time."""
