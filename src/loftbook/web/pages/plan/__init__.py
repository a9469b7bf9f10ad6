"""The plan of a camp: stations, groups, order, how long it takes."""
