"""Compiled places and speeds of all segments along a plan, for the loads between them."""

from __future__ import annotations

from typing import NamedTuple

from loftbook.mechanics.arrays import Array, Curves, Skeleton
from loftbook.mechanics.kernel import compiled, read_curves, scratch_for, shape_state


class SegmentMotion(NamedTuple):
    """Segments seen from the pelvis along a plan.

    Units
        rotations : (N, S, 3, 3) segment to pelvis; joints : (N, S, 3) m
        spins : (N, S, 3) rad/s; speeds : (N, S, 3) m/s, of the joints; both relative to the pelvis
    """

    rotations: Array
    joints: Array
    spins: Array
    speeds: Array


@compiled
def follow_segments(
    skeleton: Skeleton, curves: Curves, times: Array, states: Array, motion: SegmentMotion
) -> None:
    """Fill in states (N, 21) and the motion of every segment at the given times, for the plan's first row."""
    scratch = scratch_for(skeleton)
    for n in range(times.size):
        read_curves(curves, 0, times[n], scratch)
        shape_state(skeleton, scratch, states[n])
        motion.rotations[n] = scratch.rotation
        motion.joints[n] = scratch.place
        motion.spins[n] = scratch.spin
        motion.speeds[n] = scratch.speed
