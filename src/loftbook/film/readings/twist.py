"""Whether she twisted, how much, and when it began."""

from __future__ import annotations

import numpy as np

from loftbook.film.measurement import FlightSeen
from loftbook.film.reading import Reading
from loftbook.film.readings.fold import SHOULDERS, SHOWN
from loftbook.film.readings.told import no_pose, number, silent, weaker
from loftbook.film.track import Array, Flags
from loftbook.mechanics import Trust, Verdict

QUIET = 0.42  # one shoulder nearer to a camera that looks up shows by 0.35 in rendered clips without a twist


def twist(flight: FlightSeen, width: Array) -> tuple[Reading, Reading]:
    """Twist in turns, and when it began after take-off.

    Units
        width : (N,) m, from shoulder to shoulder in the picture; turns without a sign, and s

    Valid
        a body that stays open. In tuck and pike the twist of a side view was never tested, so nothing is said there
        unless the shoulders stay edge-on throughout
    """
    basis = "width of the shoulders in the picture, and which way she faces at both ends"
    refused = no_pose(flight)
    share = width / (SHOULDERS * flight.stature)
    air = flight.course.between(flight.leaves.time, flight.lands.time) & np.isfinite(share)
    if refused or air.sum() < 8:
        why = refused or "The shoulders were not seen apart."
        return silent("twist", "turns", why, basis), silent("twist onset", "s", why, basis)
    shown = float(np.percentile(share[air], 90))
    turned = flight.sense.turned
    if shown < QUIET and not turned:
        quiet = Verdict(Trust.GOOD, "The shoulders stay edge-on.")
        none = silent("twist onset", "s", "She did not twist.", basis)
        verdict = weaker(quiet, flight.judged.path)
        return number("twist", 0.0, "turns", spread=0.05, verdict=verdict, basis=basis), none
    if flight.phases.folded:
        why = "Something like a twist shows, but in a folded body it cannot be counted from the side."
        return silent("twist", "turns", why, basis), silent("twist onset", "s", why, basis)
    return _open(flight, share, air, shown, basis)


def _open(flight: FlightSeen, share: Array, air: Flags, shown: float, basis: str) -> tuple[Reading, Reading]:
    if shown < SHOWN or flight.sense.turned is None:
        why = "The shoulders turn a little; whether that is a twist cannot be told from the side."
        return silent("twist", "turns", why, basis), silent("twist onset", "s", why, basis)
    peaks = _passes(share[air])
    halves = peaks if bool(peaks % 2) == flight.sense.turned else peaks + 1
    doubt = Verdict(
        Trust.DOUBTFUL, "Counted in half turns by the width of the shoulders; its side cannot be told."
    )
    start = float(flight.course.times[air][int(np.argmax(share[air] > SHOWN))]) - flight.leaves.time
    return (
        number("twist", halves / 2, "turns", spread=0.3, verdict=doubt, basis=basis),
        number(
            "twist onset",
            start,
            "s",
            spread=0.05,
            verdict=doubt,
            basis="shoulders turned by 30° since take-off",
        ),
    )


def _passes(share: Array) -> int:
    """How often the shoulders come broadside: once in each half turn."""
    inside = np.concatenate([[False], share > SHOWN, [False]])
    return int(np.sum(np.diff(inside.astype(int)) == 1))
