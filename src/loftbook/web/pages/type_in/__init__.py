"""Typing in a sheet that was filled by hand."""
