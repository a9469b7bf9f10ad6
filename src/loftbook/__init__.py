"""Loftbook: the camp book of a programme coach."""
