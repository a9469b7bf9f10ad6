"""What came from home between two camps: taking answers in, typing one, reading them."""
