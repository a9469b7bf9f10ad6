"""Marking turns again from their films, without seeing what was marked."""
