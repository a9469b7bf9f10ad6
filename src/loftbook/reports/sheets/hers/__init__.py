"""A sheet for the child herself: one thing that went right, one thing next."""
