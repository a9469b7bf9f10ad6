"""What lies on the table before somebody decides about a rung, for the programme's own coaches."""
