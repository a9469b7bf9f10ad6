"""The time course of a measured film as a table and as markers, in the forms that other programs read."""
