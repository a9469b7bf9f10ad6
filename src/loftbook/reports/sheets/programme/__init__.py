"""What goes up to the programme: counts, without a name."""
