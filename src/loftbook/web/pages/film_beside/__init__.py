"""Two films of one child, aligned at take-off."""
