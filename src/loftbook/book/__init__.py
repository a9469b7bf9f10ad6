"""What a camp writes down: entries, people, attempts, and who may see what."""
