"""Light, dark, or as the device says."""
