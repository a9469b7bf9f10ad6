"""Many variants of one technique in flight: with their noise, and where each lands."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftbook.mechanics.arrays import Array, Curves, Launch
from loftbook.mechanics.body import Body
from loftbook.mechanics.multibody import TakeOff, fly_many, launch_of
from loftbook.mechanics.plan import curves
from loftbook.mechanics.rotation import from_vector, multiply
from loftbook.mechanics.twist_technique import Technique, in_order, targets_of, times_of
from loftbook.units import turn

SEARCH_STEPS = 64  # of a flight while searching: good to about 0.1°


@dataclass(frozen=True)
class Disturbance:
    """What goes otherwise than meant in each of B flights.

    Units
        times : (B, keys) s late; momentum : (B,) relative; tilt : (B,) rad at take-off
    """

    times: Array
    momentum: Array
    tilt: Array


@dataclass(frozen=True, eq=False)
class Landed:
    """How B flights land, as differences from the landing wanted.

    Units
        twist, tilt, somersault : (B,) rad over; halfway : (B,) rad of twist over what is wanted after the first
        somersault
        error : rad, estimated numerical error
    """

    twist: Array
    tilt: Array
    somersault: Array
    halfway: Array
    error: float


def variants(
    technique: Technique, values: Array, disturbed: Disturbance | None = None
) -> tuple[Curves, Launch]:
    """Curves and take-offs of many variants of a technique.

    Units
        values : (B, P) or (1, P); disturbed : of B flights

    Raises
        PlanError when the inputs ask for movements that nobody can make

    Source
        definition

    Example
        >>> from loftbook.mechanics import body, full_out
        >>> one = full_out(body(1.6, "female", age=15), flight_time=1.6)
        >>> variants(one, one.values[None])[1].momenta.shape
        (1, 3)
    """
    rows = len(values) if disturbed is None else max(len(values), len(disturbed.times))
    times = np.repeat(times_of(technique, values), rows // len(values), axis=0)
    number = next(n for n, one in enumerate(technique.inputs) if one.momentum)
    momenta = np.zeros((rows, 3))
    momenta[:, 0] = np.repeat(values[:, number], rows // len(values))
    tilt = np.full(rows, technique.tilt)
    if disturbed is not None:
        times = times + disturbed.times
        momenta[:, 0] *= 1 + disturbed.momentum
        tilt = tilt + disturbed.tilt
    targets = {pin: np.repeat(v, rows // len(v)) for pin, v in targets_of(technique, values).items()}
    prepared = curves(technique.plan, times=in_order(technique.plan, times), targets=targets)
    zero = np.zeros(rows)
    start = multiply(
        from_vector(np.stack([zero, tilt, zero], axis=1)),
        from_vector(np.array([0.0, 0.0, technique.twist]))[None],
    )
    return prepared, launch_of(momenta, technique.flight_time, start=start)


def land(
    body: Body,
    technique: Technique,
    values: Array,
    *,
    disturbed: Disturbance | None = None,
    steps: int = SEARCH_STEPS,
    workers: int = 2,
) -> Landed:
    """How many variants of a technique land, against the landing wanted.

    Units
        values : (B, P), or (1, P) with B disturbances

    Valid
        as `fly_many`

    Raises
        as `variants`

    Source
        as `fly_many`

    Example
        >>> from loftbook.mechanics import body, full_out
        >>> girl = body(1.6, "female", age=15)
        >>> one = full_out(girl, flight_time=1.6)
        >>> land(girl, one, one.values[None]).twist.shape
        (1,)
    """
    prepared, launch = variants(technique, np.atleast_2d(values), disturbed)
    flown = fly_many(body, prepared, launch, steps=steps, workers=workers)
    gone = np.abs(flown.somersault - flown.somersault[:, :1])
    wanted = abs(technique.somersaults)
    first = (
        1 - (np.ceil(wanted) - wanted) / 2
    ) * turn  # the lean at take-off makes up half of what is not turned
    at = np.argmax(gone >= first, axis=1)
    at[gone.max(axis=1) < first] = gone.shape[1] - 1
    halfway = flown.twist[np.arange(len(at)), at]
    return Landed(
        twist=flown.twist[:, -1] - technique.twists * turn,
        tilt=flown.tilt[:, -1],
        somersault=flown.somersault[:, -1] - flown.somersault[:, 0] - technique.somersaults * turn,
        halfway=np.zeros(len(at)) if technique.halfway is None else halfway - technique.halfway * turn,
        error=flown.error,
    )


def take_off_of(technique: Technique) -> TakeOff:
    """The take-off that a technique's inputs ask for, for `fly`.

    Units
        as `TakeOff`

    Source
        definition

    Example
        >>> from loftbook.mechanics import body, full_out
        >>> one = full_out(body(1.6, "female", age=15), flight_time=1.6)
        >>> bool(take_off_of(one).momentum[0] == one.momentum)
        True
    """
    _, launch = variants(technique, technique.values[None])
    return TakeOff(tuple(launch.momenta[0]), tuple(launch.starts[0]))
