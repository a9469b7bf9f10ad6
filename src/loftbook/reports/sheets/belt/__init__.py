"""Who may be asked for in the belt, for the programme's own coaches."""
