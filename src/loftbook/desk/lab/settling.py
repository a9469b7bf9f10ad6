"""Bring a timing that lands for one body to land for another, moving it as little as possible."""

from __future__ import annotations

import numpy as np

from loftbook.mechanics import Body, Technique
from loftbook.mechanics.arrays import Array
from loftbook.mechanics.twist_flights import land
from loftbook.mechanics.twist_technique import with_values
from loftbook.units import degree

EVALUATIONS = 25
HALFWAY_FREE = 25 * degree  # of twist; half of what would make it another skill, and a little room
_STAY = 0.004  # rad for a change by an input's whole range: enough to choose among timings, too little to spoil one
_NUDGE = 1e-3  # of an input's range
_TILT_WEIGHT = 2.0  # as in the search of the mechanics: leaning at landing, the body goes on twisting


def settled(body: Body, technique: Technique) -> Technique:
    """The same technique with its inputs moved until one flight without noise lands as wanted, if it can.

    Least squares within the inputs' limits, with a slight pull to where they were, so that what was
    forgiving before stays so. Where it does not land, the nearest that was found; the flight itself says
    how it lands.
    """
    from scipy.optimize import least_squares

    limits = np.array([one.limits for one in technique.inputs])
    least, size = limits[:, 0], limits[:, 1] - limits[:, 0]
    begun = np.clip((technique.values - least) / size, 1e-4, 1 - 1e-4)

    def errors(shares: Array) -> Array:
        landed = land(body, technique, least + size * np.clip(shares, 0.0, 1.0), workers=1)
        halfway = np.maximum(np.abs(landed.halfway) - HALFWAY_FREE, 0.0)
        off = np.stack([landed.twist, _TILT_WEIGHT * landed.tilt, landed.somersault, halfway], axis=1)
        return np.hstack([off, _STAY * (shares - begun)])

    def slopes(share: Array) -> Array:
        signs = np.where(share + _NUDGE > 1, -_NUDGE, _NUDGE)
        found = errors(np.vstack([share, share + np.diag(signs)]))
        return np.asarray(((found[1:] - found[0]) / signs[:, None]).T)

    def missed(share: Array) -> Array:
        return np.asarray(errors(share[None])[0])

    end = least_squares(missed, begun, slopes, bounds=(0.0, 1.0), max_nfev=EVALUATIONS)
    return with_values(technique, least + size * end.x)
