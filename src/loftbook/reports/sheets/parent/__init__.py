"""The copy for a parent or guardian: how to read the letter, and the letter."""
