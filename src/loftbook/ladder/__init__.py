"""Skills, rungs, criteria and drills: the catalogue, and the way up."""
