"""Being reached over the hall's network: addresses, an authority and certificate of our own, listeners."""
