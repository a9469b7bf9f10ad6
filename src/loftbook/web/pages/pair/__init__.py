"""A device shows its code."""
