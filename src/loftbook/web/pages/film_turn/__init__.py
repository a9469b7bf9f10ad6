"""A film for a turn: consent, then the file."""
