"""From many attempts and readings to something worth saying."""
