"""Bodies in the air: SI units and radians, everything per kilogram of body mass.

The space frame has x to the right, y forward (where she faces at take-off) and z up; the pelvis's frame is
the same when
she stands upright. So a backward somersault is positive about x, a tilt with the head to the right positive
about y, a
twist to the left positive about z: `docs/symbols.md` fixes it once. No weight is asked for anywhere.

>>> from loftbook.mechanics import Plan, TakeOff, body, count_turns, fly, pose, straight, tuck
>>> girl = body(1.45, "female", age=11)
>>> plan = Plan(straight(), (pose(0.30, tuck()), pose(1.30, straight(), lead=0.30)))
>>> flight = fly(girl, plan, TakeOff(momentum=(0.47, 0, 0)), duration=1.40)
>>> 1.5 < count_turns(flight).somersaults < 2.5
True
"""

from loftbook.mechanics.ballistic import Arc, arc_of_height, arc_of_time
from loftbook.mechanics.body import Body, body, thicker
from loftbook.mechanics.counts import Turns, count_turns, mode_at
from loftbook.mechanics.fitting import Fit, fit_flight
from loftbook.mechanics.flight import Flight, Trust, Verdict
from loftbook.mechanics.inertia import Inertia, inertia, somersault_inertia
from loftbook.mechanics.keys import Key, pose
from loftbook.mechanics.motion import Motion, motion_of_body
from loftbook.mechanics.multibody import Landings, TakeOff, fly, fly_many, launch_of
from loftbook.mechanics.named_shapes import open_tuck, pike, puck, straight, tuck
from loftbook.mechanics.plan import Plan, curves
from loftbook.mechanics.posture import landmarks, opening_angles
from loftbook.mechanics.shape import Arm, Shape, with_arms
from loftbook.mechanics.shape_classes import shape_class

__all__ = [
    "Arc", "Arm", "Body", "Fit", "Flight", "Inertia", "Key", "Landings", "Motion", "Plan", "Shape",
    "TakeOff", "Trust", "Turns", "Verdict", "arc_of_height", "arc_of_time", "body", "count_turns",
    "curves", "fit_flight", "fly", "fly_many", "inertia", "landmarks", "launch_of", "mode_at",
    "motion_of_body", "open_tuck", "opening_angles", "pike", "pose", "puck", "shape_class",
    "somersault_inertia", "straight", "thicker", "tuck", "with_arms",
]  # fmt: skip
