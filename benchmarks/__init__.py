"""How fast Loftbook is: one file a subject, run by `python3 dev.py bench [--json]`."""
