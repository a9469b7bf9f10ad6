"""One camp: who did what, the patterns, what changed, what was to be expected."""
