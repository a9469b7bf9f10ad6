"""The evidence for a rung, and the place where a named person's decision is written down."""
