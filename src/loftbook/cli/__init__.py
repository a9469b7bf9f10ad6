"""The commands: one file a noun, each one call of the desk."""
