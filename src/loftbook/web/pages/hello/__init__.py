"""The page that a device in the hall sees first: no names, how to install the certificate."""
