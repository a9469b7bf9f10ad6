"""A camp put right: its name, days, hall and surfaces."""
