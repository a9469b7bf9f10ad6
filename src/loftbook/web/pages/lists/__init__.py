"""Every list as a file to take away."""
