"""What to be careful of, and what this book is not."""
