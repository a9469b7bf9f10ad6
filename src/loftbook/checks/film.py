"""What film measures, against laws, recorded flights seen by invented cameras, and flights from the lab.

Everything here tests what comes after detection: joints in the picture are given, with noise. The recordings are a real
trampolinist who twists; the bed under her is invented, and so are the cameras.
"""

from __future__ import annotations

from functools import cache

import numpy as np

from loftbook.checks.projected import Camera, Seen, filmed, seen_by
from loftbook.checks.recordings import FLIGHTS
from loftbook.checks.registry import Finding, check
from loftbook.film import Clip, Measurement, Track, measure
from loftbook.film.falling import Window, fall_of
from loftbook.film.track import BY_MODEL, JOINTS
from loftbook.mechanics import Plan, TakeOff, body, fly, pose, straight, tuck
from loftbook.mechanics.ballistic import GRAVITY
from loftbook.mechanics.plan import shape_at
from loftbook.mechanics.posture import landmarks_in_space
from loftbook.units import degree, millisecond

CAMERAS = (
    Camera(),
    Camera(distance=6.0, focal=900.0, seed=2, contact=0.24),
    Camera(distance=14.0, focal=1500.0, seed=3, contact=0.36),
    Camera(height=0.6, seed=4),
    Camera(height=3.0, seed=5, contact=0.26),
    Camera(yaw=10 * degree, seed=6, contact=0.34),
    Camera(rate=30.0, seed=7, contact=0.24),
    Camera(rate=120.0, seed=8, contact=0.36),
    Camera(noise=4.0, seed=9),
)
NAMED = ("time of flight", "height", "travel", "rotation", "scale")
RECORDED = (
    "marker capture of two flights, public repository s2mLab/AerialAcrobaticsOptimalTracking, MIT licence, projected "
    "through nine invented cameras (6 to 14 m away, 0.6 to 3 m high, 10° off square, 30 to 120 frames a second, joints "
    "off by 2 to 4 px), on invented beds of 0.24 to 0.36 s"
)


@cache
def recorded_films() -> tuple[tuple[Seen, Measurement], ...]:
    """Both recordings through every camera, measured."""
    films = [seen_by(name, camera) for name in FLIGHTS for camera in CAMERAS]
    return tuple((seen, measure(seen.clip, seen.track)) for seen in films)


def errors(name: str) -> tuple[list[float], list[float]]:
    """Errors of one reading over all films, and the same over the stated standard deviation."""
    off, over = [], []
    for seen, found in recorded_films():
        reading = next((r for r in found.readings if r.name == name), None)
        if reading is None or not isinstance(reading.value, float) or reading.uncertainty is None:
            continue
        true = {
            "time of flight": seen.duration, "height": seen.height, "travel": seen.travel, "rotation": seen.rotation,
            "scale": seen.scale,
        }[name]  # fmt: skip
        # which way she faces is not sure where a recording begins in a twist; her readings say so
        error = abs(reading.value) - abs(true) if name in ("travel", "rotation") else reading.value - true
        off.append(error)
        over.append(error / reading.uncertainty)
    return off, over


def root_mean_square(values: list[float]) -> float:
    """Root of the mean square."""
    return float(np.sqrt(np.mean(np.square(values)))) if values else float("nan")


def worst(name: str, *, least: int = 9) -> Finding:
    """Largest error, and whether no film was far outside what it stated.

    One recording begins 95° into its turn: no take-off, so its nine films give a scale and nothing else.
    """
    off, over = errors(name)
    units = {"time of flight": (1e3, "ms"), "rotation": (1.0, "°"), "scale": (1.0, "px/m")}
    factor, unit = units.get(name, (100.0, "cm"))
    got = (
        f"root mean square {factor * root_mean_square(off):.1f} {unit}, most {factor * max(map(abs, off)):.1f} {unit}, "
        f"{root_mean_square(over):.2f} stated deviations, in {len(off)} films"
    )
    return Finding(got, len(off) >= least and max(map(abs, over)) < 3)


@check(
    name="Time of flight from film: recorded flights",
    kind="open data",
    source=RECORDED,
    expected="the time between both touches of the invented bed, without any line drawn",
    tolerance="3 stated standard deviations in each of nine films with a take-off; 0.3 % beyond that by chance",
)
def recorded_time_of_flight() -> Finding:
    """Contacts by the push of the bed alone."""
    return worst("time of flight")


@check(
    name="Height from film: recorded flights",
    kind="open data",
    source=RECORDED,
    expected="rise of the recording's mass centre",
    tolerance="3 stated standard deviations in every film",
)
def recorded_height() -> Finding:
    """By time and gravity."""
    return worst("height")


@check(
    name="Travel from film: recorded flights",
    kind="open data",
    source=RECORDED,
    expected="way of the recording's mass centre across the picture",
    tolerance="3 stated standard deviations in every film",
)
def recorded_travel() -> Finding:
    """By the sideways scale."""
    return worst("travel")


@check(
    name="Turning from film: recorded flights",
    kind="open data",
    source=RECORDED,
    expected="turning of the line from ankles to shoulders in the plane of the somersault",
    tolerance="3 stated standard deviations in every film",
)
def recorded_rotation() -> Finding:
    """Twisting flights, of which the picture sees the somersault."""
    return worst("rotation")


@check(
    name="Scale by gravity: recorded flights",
    kind="open data",
    source=RECORDED,
    expected="local vertical scale of the camera at the middle row, times the recording's own fall over g",
    tolerance="3 stated standard deviations in every film",
)
def recorded_scale() -> Finding:
    """No length of anything is known to it."""
    return worst("scale", least=16)


@check(
    name="A flight that seems to begin upside down has no take-off",
    kind="open data",
    source=RECORDED + "; the double's recording begins about 95° into its turn",
    expected="no time of flight and no turning for its nine films, and a sentence that says why",
    tolerance="none",
)
def no_take_off() -> Finding:
    """Nobody leaves a bed with the feet beside or above her: a number would be wrong, so none is given."""
    doubles = recorded_films()[len(CAMERAS) :]
    told = [{r.name: r.value for r in found.readings} for _, found in doubles]
    said = [any("take-off was not found" in reason for reason in found.reasons) for _, found in doubles]
    given = sum(one["time of flight"] is not None or one["rotation"] is not None for one in told)
    return Finding(f"{given} of {len(doubles)} with a number, {sum(said)} say why", given == 0 and all(said))


@check(
    name="Stated uncertainties of film are neither boast nor fog",
    kind="open data",
    source=RECORDED,
    expected="errors over stated standard deviations of about 1, root mean square, for each reading",
    tolerance="0.4 to 1.4: two recordings only, whose own errors every camera shares",
)
def calibrated() -> Finding:
    """Coverage of time of flight, height, travel, turning and scale."""
    sizes = {name: root_mean_square(errors(name)[1]) for name in NAMED}
    inside = np.mean([abs(z) < 2 for name in NAMED for z in errors(name)[1]])
    told = ", ".join(f"{name} {size:.2f}" for name, size in sizes.items())
    return Finding(
        f"{told}; within two of them {100 * inside:.0f} %",
        all(0.4 <= size <= 1.4 for size in sizes.values()) and bool(inside >= 0.9),
    )


@check(
    name="A twisting film warns about bends",
    kind="open data",
    source=RECORDED,
    expected="both recordings twist: no hip or knee reading without a word",
    tolerance="none",
)
def twisting_is_warned() -> Finding:
    """A side view foreshortens what turns towards it."""
    names = ("hip flexion in the shape", "knee flexion in the shape", "shape")
    readings = [r for _, found in recorded_films() for r in found.readings if r.name in names]
    silent = [r for r in readings if r.verdict.trust == "good"]
    return Finding(f"{len(readings) - len(silent)} of {len(readings)} readings carry a warning", not silent)


@check(
    name="A parabola gives its scale",
    kind="law",
    source="closed form: y = s g t² / 2, so s is twice the second coefficient over g",
    expected="100 px/m and the highest place at 0.5 s",
    tolerance="1.5 %: the fit also allows for a camera that looks up, and expects one that does a little",
)
def parabola() -> Finding:
    """The mass centre alone, without noise."""
    t = np.arange(0, 1.0001, 1 / 60)
    path = np.stack([640 + 30 * t, 200 + 100 * GRAVITY / 2 * (t - 0.5) ** 2], axis=1)
    fall = fall_of(t, path, Window(0, len(t) - 1, leaves=0.0, lands=1.0), doubt=1.0)
    held = abs(fall.scale - 100) < 1.5 and abs(fall.apex_time - 0.5) < millisecond
    return Finding(f"{fall.scale:.2f} px/m at {fall.apex_time:.4f} s", held)


@check(
    name="A wrong frame rate shows as a wrong scale",
    kind="law",
    source="closed form: acceleration goes with one over time squared",
    expected="the same path at half the frame rate has a quarter of the scale",
    tolerance="1 %",
)
def frame_rate() -> Finding:
    """Slow motion stamped at the usual rate."""
    t = np.arange(0, 1.0001, 1 / 60)
    path = np.stack([640 + 30 * t, 200 + 100 * GRAVITY / 2 * (t - 0.5) ** 2], axis=1)
    known = (Window(0, len(t) - 1, leaves=k * t[0], lands=k * t[-1]) for k in (1, 2))
    true, slow = (fall_of(k * t, path, w, doubt=1.0).scale for k, w in zip((1, 2), known, strict=True))
    return Finding(f"{slow / true:.4f}", abs(slow / true - 0.25) < 0.0025)


@check(
    name="Counting whole frames is as coarse as theory says",
    kind="law",
    source="two roundings of one frame each: standard deviation of a frame over the root of six; 14, 7, 3.4, 1.7 ms",
    expected="13.6, 6.8, 3.4, 1.7 ms at 30, 60, 120, 240 frames a second",
    tolerance="3 % of each: 20,000 flights counted with a fixed seed",
)
def counting() -> Finding:
    """Why contacts are found between frames below 120 frames a second."""
    chance = np.random.default_rng(1)
    found = []
    for rate in (30, 60, 120, 240):
        start = chance.uniform(0, 1 / rate, 20_000)
        end = start + chance.uniform(1.4, 1.7, 20_000)
        counted = (np.ceil(end * rate) - np.ceil(start * rate)) / rate
        found.append(float(np.std(counted - (end - start))))
    expected = [1 / rate / np.sqrt(6) for rate in (30, 60, 120, 240)]
    held = all(abs(f / e - 1) < 0.03 for f, e in zip(found, expected, strict=True))
    return Finding(", ".join(f"{1e3 * f:.1f}" for f in found) + " ms", held)


@cache
def lab_film() -> tuple[Seen, Measurement, float]:
    """A double tuck flown in the lab, filmed by an invented camera and measured; and its momentum."""
    girl, duration, momentum = body(1.50, "female", age=12), 1.50, 0.54  # comes round to her feet
    plan = Plan(straight(), (pose(0.30, tuck(), lead=0.2), pose(1.35, straight(), lead=0.25)))
    flight = fly(girl, plan, TakeOff(momentum=(momentum, 0.0, 0.0)), duration=duration)
    t = flight.times
    z = GRAVITY * duration / 2 * t - GRAVITY * t**2 / 2
    centre = np.stack([np.zeros_like(t), 0.3 * t / duration, z], axis=1)
    poses = [
        landmarks_in_space(girl, shape_at(plan, float(time)), q, c)
        for time, q, c in zip(t, flight.orientations, centre, strict=True)
    ]
    joints = {joint: np.array([_joint(p, joint) for p in poses]) for joint in JOINTS}
    # the lab has x to her right and y forward; the picture has y forward to the right and looks from her right side
    turned = {joint: np.stack([p[:, 1], -p[:, 0], p[:, 2]], axis=1) for joint, p in joints.items()}
    seen = filmed(t, turned, np.stack([centre[:, 1], -centre[:, 0], centre[:, 2]], axis=1), Camera())
    return seen, measure(seen.clip, seen.track), momentum


def _joint(points: dict[str, np.ndarray], joint: str) -> np.ndarray:
    """One of film's joints from the lab's landmarks."""
    side = joint.partition("_")[0]
    if joint == "nose" or joint.endswith("ear"):
        head = points["neck"] + 0.5 * (points["crown"] - points["neck"])
        along = points["crown"] - points["neck"]
        across = points["right_shoulder"] - points["left_shoulder"]
        forward = np.cross(along, across)
        forward /= np.linalg.norm(forward)
        return np.asarray(head - 0.10 * forward if joint == "nose" else head)
    if joint.endswith("toe"):
        return points[f"{side}_toes"]
    if joint.endswith("heel"):
        return np.asarray(points[f"{side}_ankle"] - 0.3 * (points[f"{side}_toes"] - points[f"{side}_ankle"]))
    return points[joint]


@check(
    name="A flight from the lab, filmed, comes back as it was flown",
    kind="second engine",
    source="the lab's flight (angular momentum kept by construction) through an invented camera, joints off by 2 px",
    expected="its angular momentum, 0.540 m²/s over body mass, its turning, and a tuck",
    tolerance="8 % of the momentum (2 px of noise in every joint's speed), 6° of turning at 60 frames a second",
)
def lab_comes_back() -> Finding:
    """Film and lab end in the same numbers."""
    seen, found, momentum = lab_film()
    told = {r.name: r.value for r in found.readings}
    carried, turned = told["angular momentum"], told["rotation"]
    if not isinstance(carried, float) or not isinstance(turned, float):
        return Finding("; ".join(found.reasons), holds=False)
    held = abs(carried / momentum - 1) < 0.08 and abs(turned - seen.rotation) < 6 and told["shape"] == "tuck"
    return Finding(f"{carried:.3f} m²/s, {turned:.0f}° of {seen.rotation:.0f}°, {told['shape']}", held)


@check(
    name="A camera that sweeps along is refused",
    kind="law",
    source="nothing in the air is pulled sideways or leaves the curve of a fall",
    expected="no number that rests on gravity",
    tolerance="none",
)
def sweeping() -> Finding:
    """The lab's flight with a picture that moves to one side and back."""
    seen, _, _ = lab_film()
    n = len(seen.track.times)
    sweep = np.stack([150 * np.sin(np.linspace(0, 3, n)), np.zeros(n)], axis=1)
    track = Track(
        seen.track.times, seen.track.frames, seen.track.points - sweep[:, None], seen.track.spread,
        np.full((n, len(JOINTS)), BY_MODEL), seen.track.apart, seen.track.width, seen.track.height, "swept",
    )  # fmt: skip
    found = measure(Clip(seen.clip.times, seen.clip.width, seen.clip.height, "none", "0" * 64), track)
    numbers = [r.name for r in found.readings if r.unit in ("s", "m", "px/m") and r.value is not None]
    return Finding(found.verdict.sentence, found.trust == "none" and not numbers)
