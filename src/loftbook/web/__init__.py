"""The pages: who, what, one call of the desk, the answer."""
