"""Another book's facts come into this one, as a tablet's do: nothing twice, nothing overwritten."""
