"""How the film's own network is taught: beside the package, never in the wheel. Read README.md in this folder."""
