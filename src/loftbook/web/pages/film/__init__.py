"""One film: what was seen, what was measured with its reasons, what is missing."""
