"""Taking in a file of waiting results."""
