"""Small drawings that are the same on a page and on paper, and say in words what they show."""
