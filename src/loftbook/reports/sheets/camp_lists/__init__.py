"""The lists of a camp, for the programme's own coaches."""
