"""What two people wrote differently, and what was set aside."""
