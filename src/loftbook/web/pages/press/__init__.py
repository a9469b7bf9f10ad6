"""All papers of a camp in one go: read first, made with progress, taken away as one file."""
