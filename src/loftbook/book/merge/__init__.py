"""Two books become one: who and which camp is the same, what is new, where the two differ. Writes nothing."""
