"""Bodies in the air: SI units and radians, everything per kilogram of body mass.

The space frame has x to the right, y forward (where she faces at take-off) and z up; the pelvis's frame is the same
when she stands upright. So a backward somersault is positive about x, a tilt with the head to the right positive
about y, a twist to the left positive about z: `docs/symbols.md` fixes it once. No weight is asked for anywhere.

>>> from loftbook.mechanics import Plan, TakeOff, body, count_turns, fly, pose, straight, tuck
>>> girl = body(1.45, "female", age=11)
>>> plan = Plan(straight(), (pose(0.30, tuck()), pose(1.30, straight(), lead=0.30)))
>>> flight = fly(girl, plan, TakeOff(momentum=(0.47, 0, 0)), duration=1.40)
>>> 1.5 < count_turns(flight).somersaults < 2.5
True
"""

from loftbook.mechanics.ballistic import Arc, arc_of_height, arc_of_time
from loftbook.mechanics.bands import Band, Uncertainty
from loftbook.mechanics.body import Body, body, thicker
from loftbook.mechanics.budget import Budget, rotation_budget, turns_made
from loftbook.mechanics.counts import Turns, count_turns, mode_at
from loftbook.mechanics.fitting import Fit, fit_flight
from loftbook.mechanics.flight import Flight, Trust, Verdict
from loftbook.mechanics.growth import grown, growth
from loftbook.mechanics.holding import Holding, compare_holding, holding, holding_at
from loftbook.mechanics.inertia import Inertia, inertia, somersault_inertia
from loftbook.mechanics.keys import Key, pose
from loftbook.mechanics.margins import Seen, carried_over, enough_for
from loftbook.mechanics.motion import Motion, motion_of_body
from loftbook.mechanics.multibody import Landings, TakeOff, fly, fly_many, launch_of
from loftbook.mechanics.named_shapes import open_tuck, pike, puck, straight, tuck
from loftbook.mechanics.plan import Plan, angles_at, curves, shape_at
from loftbook.mechanics.posture import landmarks, opening_angles
from loftbook.mechanics.shape import Arm, Shape, with_arms
from loftbook.mechanics.shape_classes import shape_class
from loftbook.mechanics.shape_plan import ShapePlan
from loftbook.mechanics.twist_arms import twist_from
from loftbook.mechanics.twist_bands import LandingBand, Noise, landing_band
from loftbook.mechanics.twist_correction import Correction, corrected_band
from loftbook.mechanics.twist_doubles import barani_out, full_in, full_out, half_in_half_out
from loftbook.mechanics.twist_flights import take_off_of
from loftbook.mechanics.twist_sensitivity import sensitivities
from loftbook.mechanics.twist_solving import Solved, solve_landing
from loftbook.mechanics.twist_technique import Technique
from loftbook.mechanics.twist_variants import leaving_with, mirrored, with_steadying_arms

__all__ = [
    "Arc", "Arm", "Band", "Body", "Budget", "Correction", "Fit", "Flight", "Holding", "Inertia", "Key",
    "LandingBand", "Landings", "Motion", "Noise", "Plan", "Seen", "Shape", "ShapePlan", "Solved", "TakeOff",
    "Technique", "Trust", "Turns", "Uncertainty", "Verdict", "angles_at", "arc_of_height", "arc_of_time", "barani_out",
    "body", "carried_over", "compare_holding", "corrected_band", "count_turns", "curves", "enough_for",
    "fit_flight", "fly", "fly_many", "full_in", "full_out", "grown", "growth", "half_in_half_out",
    "holding", "holding_at", "inertia", "landing_band", "landmarks", "launch_of", "leaving_with",
    "mirrored", "mode_at", "motion_of_body", "open_tuck", "opening_angles", "pike", "pose", "puck",
    "rotation_budget", "sensitivities", "shape_at", "shape_class", "solve_landing", "somersault_inertia", "straight",
    "take_off_of", "thicker", "tuck", "turns_made", "twist_from", "with_arms", "with_steadying_arms",
]  # fmt: skip
