"""The page for writing down beside the bed: its shell, without a name or a result in it.

The page is built from `frontend/` into `static/gym`; it works without a network once it
was opened, and speaks with the book through the JSON answers.
"""

from loftbook.web.gym.shell import router

__all__ = ["router"]
