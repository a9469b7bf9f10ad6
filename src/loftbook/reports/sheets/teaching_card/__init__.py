"""A planned flight on one sheet of paper, to talk about in the gym."""
