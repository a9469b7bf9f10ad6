"""For the children's sake: consent, expiry, erasure, export, what left the machine, backups and what they hold."""
