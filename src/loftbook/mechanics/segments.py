"""What share of the body each segment is, where its mass lies and how it is spread, from published tables.

This is the one place of `mechanics` that reads package data.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from typing import Literal

from loftbook.errors import RangeError

Sex = Literal["female", "male"]
REFERENCE_STATURE: dict[Sex, float] = {"female": 1.735, "male": 1.741}  # m; de Leva (1996), from memory
YOUNGEST = 4.0  # years; Jensen (1989) measured boys of 4 to 20
JENSEN_AT_BIRTH = 0.2376  # share of body mass; Jensen (1986, 1989), AIST summary page
# per year; the page prints 0.114, which would make the share negative at 3 years: read as a misprint of
# 0.0114
JENSEN_PER_YEAR = 0.0114


@dataclass(frozen=True)
class Segment:
    """One segment as its table gives it, with lengths already in metres.

    Units
        fraction : of body mass
        length : m
        centre : of the length, from the named origin of the table
        r_sagittal, r_transverse, r_longitudinal : radii of gyration, of the length
    """

    name: str
    fraction: float
    length: float
    centre: float
    r_sagittal: float
    r_transverse: float
    r_longitudinal: float


@cache
def data_rows(name: str) -> tuple[dict[str, str], ...]:
    """Rows of one of the package's tables, without the comments in its head."""
    text = files("loftbook.mechanics").joinpath("data", name).read_text(encoding="utf-8")
    return tuple(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))


@cache
def published_segments(sex: Sex) -> tuple[Segment, ...]:
    """The ten segments of a young woman or man, as published, at the reference stature.

    Units
        lengths in m; shares of body mass as printed, so that they sum to 0.9999 (female) or 1.0000 (male)

    Valid
        young adults. Children differ: see `head_share`.

    Source
        de Leva (1996), J Biomech 29:1223-1230, table 4; lengths from memory.

    Example
        >>> [s.name for s in published_segments("female")][:3]
        ['head', 'upper_trunk', 'mid_trunk']
    """
    if sex not in ("female", "male"):
        raise RangeError(
            f"sex is {sex!r}; the published tables are 'female' and 'male'. Choose the nearer one."
        )
    return tuple(
        Segment(
            name=row["segment"],
            fraction=float(row["mass_pct"]) / 100,
            length=float(row["length_mm"]) / 1000,
            centre=float(row["centre_pct"]) / 100,
            r_sagittal=float(row["r_sagittal_pct"]) / 100,
            r_transverse=float(row["r_transverse_pct"]) / 100,
            r_longitudinal=float(row["r_longitudinal_pct"]) / 100,
        )
        for row in data_rows(f"deleva-{sex}.csv")
    )


def head_share(age: float, sex: Sex = "female") -> float:
    """What share of her mass a child's head is: larger the younger she is.

    Units
        age : years; returns a share of body mass

    Valid
        from 4 years; measured on boys and used for girls too. From about 15 on it is the adult share.

    Source
        Jensen (1986), J Biomech 19:359-368 and (1989), 22:529-536, read in a summary page that prints the slope as
        0.114 a year; read here as 0.0114, since the printed figure is negative at 3 years.

    Example
        >>> round(head_share(11), 3), round(head_share(16), 3)
        (0.112, 0.067)
    """
    if not age >= YOUNGEST or age > 120:
        raise RangeError(
            f"age is {age!r} years; expected {YOUNGEST:g} to 120. Give the age in years, not in months."
        )
    adult = next(s.fraction for s in published_segments(sex) if s.name == "head")
    return max(adult, JENSEN_AT_BIRTH - JENSEN_PER_YEAR * age)


def segments_for(stature: float, sex: Sex, age: float) -> tuple[Segment, ...]:
    """The ten segments of somebody of this height, sex and age; their shares sum to one.

    Units
        stature : m; age : years

    Valid
        lengths grow in proportion to stature; only the head's share follows age, the rest keeps its
        proportions.

    Source
        de Leva (1996) and Jensen (1986, 1989) as in `published_segments` and `head_share`.

    Example
        >>> girl = segments_for(1.45, "female", 11)
        >>> round(sum(s.fraction * (1 if s.name in TRUNK else 2) for s in girl), 12)
        1.0
    """
    published = published_segments(sex)
    scale = stature / REFERENCE_STATURE[sex]
    head = head_share(age, sex)
    others = sum(s.fraction * (1 if s.name in TRUNK else 2) for s in published if s.name != "head")
    return tuple(
        replace(
            s,
            length=s.length * scale,
            fraction=head if s.name == "head" else s.fraction * (1 - head) / others,
        )
        for s in published
    )


TRUNK = ("head", "upper_trunk", "mid_trunk", "pelvis")
