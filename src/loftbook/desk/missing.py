"""What the book does not know of a child and somebody could tell."""

from __future__ import annotations

from loftbook.book.people import Athlete


def missing_about(athlete: Athlete) -> tuple[str, ...]:
    """The gaps in words, for the page and the lists."""
    gaps = {
        "date of birth": athlete.born is None,
        "height": athlete.height is None,
        "twist side": not athlete.twists,
        "word on filming": not athlete.consents,
        "home coach": athlete.club is None or not athlete.club.coach_email,
    }
    return tuple(name for name, gap in gaps.items() if gap)
