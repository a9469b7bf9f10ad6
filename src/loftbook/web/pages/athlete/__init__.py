"""One gymnast over her camps."""
