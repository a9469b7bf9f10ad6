"""The shape and twist studio: a plan flown, changed by hand, and where it lands."""
