"""The pass phrase at the laptop."""
