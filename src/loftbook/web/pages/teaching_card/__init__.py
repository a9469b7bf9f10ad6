"""A plan of the lab as a sheet to print."""
