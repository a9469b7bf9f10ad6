"""What was agreed, what is held, what left, and erasure: at the laptop only."""
