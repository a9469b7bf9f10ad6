"""How alike two people mark at a camp."""
