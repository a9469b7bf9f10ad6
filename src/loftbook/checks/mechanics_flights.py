"""Two recorded trampoline flights against the laws, and spoiled ones that must be refused.

The recordings are not part of this package: marker capture of an adult trampolinist, published under the MIT licence.
"""

from __future__ import annotations

from functools import cache

import numpy as np

from loftbook.checks.recordings import FLIGHTS, TRIM, eased, key_framed, recorded, scaled_in_time
from loftbook.checks.registry import Finding, check
from loftbook.mechanics.ballistic import GRAVITY
from loftbook.mechanics.counts import count_turns
from loftbook.mechanics.fitting import Fit, fit_flight, orientations_from
from loftbook.mechanics.motion import Motion
from loftbook.mechanics.rotation import angle_between
from loftbook.units import degree, degrees_from_radians

SOURCE = (
    "marker capture of two flights, public repository s2mLab/AerialAcrobaticsOptimalTracking, MIT licence; 10 "
    "Hz filter, "
    "15 instants trimmed at each end"
)


@cache
def fitted(name: str) -> Fit:
    """One recorded flight, fitted."""
    return fit_flight(recorded(name), trim=TRIM)


def both(what: str, one: float, other: float) -> str:
    """Two figures as text."""
    return f"{one:{what}} single, {other:{what}} double"


@check(
    name="The recorded gymnast falls at g",
    kind="open data",
    source=SOURCE,
    expected="9.81 m/s² downward",
    tolerance="3 %: segment masses and markers of that recording",
)
def falls_at_g() -> Finding:
    """The mass centre of sixteen and more segments, a parabola through it."""
    falls = [fitted(name).balance.fall for name in FLIGHTS]
    return Finding(both(".2f", *falls) + " m/s²", all(abs(f / GRAVITY - 1) < 0.03 for f in falls))


@check(
    name="The recorded gymnast keeps her angular momentum",
    kind="open data",
    source=SOURCE,
    expected="the size of the angular momentum about the mass centre, the same at each instant",
    tolerance="4 % (standard deviation over mean): what an earlier analysis found, 2.9 and 2.3 %, rounded up",
)
def keeps_momentum() -> Finding:
    """Rates by splines through smoothed places."""
    scatter = [100 * fitted(name).balance.momentum_scatter for name in FLIGHTS]
    return Finding(both(".1f", *scatter) + " %", max(scatter) <= 4.0)


@check(
    name="Three numbers explain the whole turning of the recorded gymnast",
    kind="open data",
    source=SOURCE,
    expected="orientation over the whole flight from the measured shape and a fitted momentum",
    tolerance="7° rms; the momentum's size within 2 % of the measured mean",
)
def three_numbers() -> Finding:
    """The test that the equation of motion is the right one, on a real body."""
    fits = [fitted(name) for name in FLIGHTS]
    rms = [degrees_from_radians(fit.rms) for fit in fits]
    holds = max(rms) < 7.0 and max(abs(fit.grown_by) for fit in fits) < 0.02
    return Finding(both(".1f", *rms) + "° rms", holds)


@check(
    name="Somersaults and twists of the recorded flights",
    kind="open data",
    source=SOURCE
    + "; its file names code one somersault with two twists, and two somersaults with a full twist in each",
    expected="within the window: 0.74 somersaults with 1.87 twists, and 1.47 with 1.76, as counted in an "
    "earlier analysis",
    tolerance="0.05 somersaults and 0.1 twists: that analysis counted about the trunk",
)
def turns_of_recordings() -> Finding:
    """Counted about the principal axes; both to the right."""
    turns = [count_turns(fitted(name).flight) for name in FLIGHTS]
    somersaults, twists = [t.somersaults for t in turns], [abs(t.twists) for t in turns]
    holds = bool(
        np.max(np.abs(np.subtract(somersaults, (0.74, 1.47)))) < 0.05
        and np.max(np.abs(np.subtract(twists, (1.87, 1.76)))) < 0.1
    )
    return Finding(f"{both('.2f', *somersaults)}; twists {both('.2f', *twists)}", holds)


@check(
    name="The momentum measured at take-off does not foretell a twisting landing",
    kind="open data",
    source=SOURCE + "; an earlier analysis found 109 and 94° at landing",
    expected="more than 40° off at landing with the mean measured momentum; this is a limit to be told, not a promise",
    tolerance="none: it is to be far off",
)
def no_foretelling() -> Finding:
    """Why the lab shows bands, and film is fitted instead of foretold."""
    off = []
    for name in FLIGHTS:
        flight = fitted(name).balance.flight
        landing = orientations_from(flight, flight.momentum)[-1]
        off.append(float(angle_between(landing, flight.orientations[-1])))
    return Finding(both(".0f", *map(degrees_from_radians, off)) + "°", min(off) > 40 * degree)


def verdicts(spoiled: list[Motion]) -> tuple[str, bool]:
    """What the gate says of spoiled recordings, and whether it lets none through."""
    fits = [fit_flight(motion, trim=TRIM) for motion in spoiled]
    said = "; ".join(
        f"fall {fit.balance.fall:.1f} m/s², |H| {100 * fit.balance.momentum_scatter:.0f} %, "
        f"{degrees_from_radians(fit.rms):.0f}°: {fit.verdict.trust}"
        for fit in fits
    )
    return said, all(fit.verdict.trust == "none" for fit in fits)


@check(
    name="Animation is told from flight",
    kind="open data",
    source=SOURCE
    + "; spoiled here: eased in and out, or straight lines between a few key poses, as animators do",
    expected="no trust in any of them",
    tolerance="none",
)
def animation() -> Finding:
    """The real poses, played as no body could."""
    return Finding(*verdicts([spoil(recorded(name)) for name in FLIGHTS for spoil in (eased, key_framed)]))


@check(
    name="A film with a wrong frame rate is told from flight",
    kind="open data",
    source=SOURCE + "; spoiled here: frame times stretched by a fifth, or doubled as in slow motion",
    expected="no trust in any of them",
    tolerance="none",
)
def wrong_frame_rate() -> Finding:
    """Gravity is the ruler: a wrong clock shows in the fall."""
    return Finding(*verdicts([scaled_in_time(recorded(name), f) for name in FLIGHTS for f in (1.2, 2.0)]))
