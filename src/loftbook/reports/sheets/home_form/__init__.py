"""The form that goes with a letter: one file that a home coach fills in without an account and without a network."""
