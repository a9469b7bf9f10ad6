"""The camps, and a form for a new one."""
