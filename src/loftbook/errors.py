"""What can go wrong, as sentences that say the next step.

Every error that Loftbook raises on purpose is a `LoftbookError`. Its text says
what was found, what was expected and what to do. A doubtful measurement is never
an error: it is a value with a verdict.
"""

from __future__ import annotations


class LoftbookError(Exception):
    """Something cannot be done as asked; the text says what to do instead.

    Parameters
        found : what was there
        expected : what was needed
        todo : the next step

    >>> print(RangeError("stature of 1400 m", "0.5 to 2.5 m", "give metres: 1.40"))
    Found stature of 1400 m; expected 0.5 to 2.5 m. What to do: give metres: 1.40.
    """

    def __init__(self, found: str, expected: str = "", todo: str = "") -> None:
        self.found, self.expected, self.todo = found, expected, todo
        super().__init__(self.sentence())

    def sentence(self) -> str:
        """The whole message as one or two sentences."""
        text = f"Found {self.found}" if self.expected else self.found
        if self.expected:
            text += f"; expected {self.expected}"
        if not text.endswith((".", "?", "!")):
            text += "."
        if self.todo:
            todo = self.todo if self.todo.endswith((".", "?", "!")) else self.todo + "."
            text += f" What to do: {todo}"
        return text


class RangeError(LoftbookError):
    """A number lies outside what a body, a clock or a camp can have."""


class ShapeError(LoftbookError):
    """An array has the wrong number of axes or the wrong length."""


class PlanError(LoftbookError):
    """A flight plan asks for a movement that nobody can make."""


class LadderError(LoftbookError):
    """A ladder file has a mistake; the text names the line.

    >>> print(LadderError("no shape", "o, < or /", "add it", line=14))
    Line 14: found no shape; expected o, < or /. What to do: add it.
    """

    def __init__(self, found: str, expected: str = "", todo: str = "", *, line: int | None = None) -> None:
        self.line = line
        super().__init__(found, expected, todo)

    def sentence(self) -> str:
        """The whole message, after the line where the mistake stands."""
        text = super().sentence()
        return text if self.line is None else f"Line {self.line}: {text[:1].lower()}{text[1:]}"


class NotationError(LoftbookError):
    """A skill written in the trade's number notation cannot be read."""


class ListError(LoftbookError):
    """A typed list as a whole cannot be read (one row never raises this)."""


class UnknownThing(LoftbookError):
    """Nobody or nothing of that name is in the book."""


class AmbiguousThing(LoftbookError):
    """More than one person or thing answers to that name."""


class Refused(LoftbookError):
    """An entry cannot stand as it is; nothing was written."""


class ClipError(LoftbookError):
    """A film cannot be read or measured as it is."""


class Stopped(LoftbookError):
    """Somebody stopped the measuring of a film; nothing was kept."""


class BookFileError(LoftbookError):
    """The book's file cannot be opened, is damaged, or belongs to another version."""
