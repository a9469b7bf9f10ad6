"""The conversions between what people write and what the program computes with."""

from __future__ import annotations

from math import isclose

from loftbook.checks.places import authority
from loftbook.checks.registry import Finding, check
from loftbook.units import degrees_from_radians


@check(
    name="A radian in degrees",
    kind="law",
    source="180/pi, with pi by Machin's formula of 1706 in whole numbers (from memory: OEIS A072097)",
    expected="57.295779513082320876°",
    tolerance="1e-15 of it: the rounding of one division",
)
def radian_in_degrees() -> Finding:
    """One radian, turned into degrees, against the filed digits."""
    digits = authority("angles")["degrees_in_a_radian"]["digits"]
    got = degrees_from_radians(1.0)
    return Finding(got=f"{got:.14f}°", holds=isclose(got, float(digits), rel_tol=1e-15))
