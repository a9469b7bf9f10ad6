"""The films of the book."""
