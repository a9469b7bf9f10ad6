"""One number about one flight, with its uncertainty, what it rests on, and how far to trust it."""

from __future__ import annotations

from dataclasses import dataclass

from loftbook.mechanics import Verdict


@dataclass(frozen=True)
class Reading:
    """One finding from film. What this clip cannot tell is a sentence, not a number.

    Units
        value : a number in `unit`, a word (a shape), or None where the clip cannot tell
        unit : as printed, "s", "m", "°", "turns", "°/s", "body weights", "m²/s" (momentum over body mass); "" for words
        uncertainty : one standard deviation in the same unit; None for words and where there is no value
        basis : what it rests on, in words; recipe : name and number of the method, "time of flight/1", so that a
        finding can be thrown away and made again

    Example
        >>> from loftbook.mechanics import Trust
        >>> Reading("time of flight", 1.551, "s", 0.004, Verdict(Trust.GOOD, "Feet seen at both ends."),
        ...     "both feet against the bed line", "time of flight/1").name
        'time of flight'
    """

    name: str
    value: float | str | None
    unit: str
    uncertainty: float | None
    verdict: Verdict
    basis: str
    recipe: str
