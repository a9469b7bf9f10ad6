"""Letting devices in and shutting them out, at the laptop only."""
