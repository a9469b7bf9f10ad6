"""Blank sheets for when the battery dies."""
