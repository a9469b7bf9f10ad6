"""Who is expected at a camp: a list to tick."""
