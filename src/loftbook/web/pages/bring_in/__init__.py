"""Bringing in a typed list: report first, then the book."""
