"""The squad: everyone, and where she stood last."""
