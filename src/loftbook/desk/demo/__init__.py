"""The demonstration camp: invented people, through the same import and entry code."""
