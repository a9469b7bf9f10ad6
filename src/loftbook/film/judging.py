"""How far to trust a flight, with reasons: gravity, the two passes, limbs that keep their length, the silhouette."""

from __future__ import annotations

import numpy as np

from loftbook.film.contacts import NOT_FOUND, Contact
from loftbook.film.course import Course, piked
from loftbook.film.falling import Fall
from loftbook.film.measurement import PIKED_DOUBTFUL, Judged
from loftbook.film.sense import Sense
from loftbook.film.track import BY_HAND, BY_MODEL, COLUMN, Flags, SecondEyes, Silhouette, Track
from loftbook.mechanics import Trust, Verdict
from loftbook.units import degree

# How well a filmed mass centre falls: the lasting part of what is left over, its jitter, a bend sideways (m/s²), and a
# change of the fall from first to last half. Good film keeps well inside the first; animation and panned cameras leave
# the second by far. From projections of recorded flights and from rendered clips; see docs/guide/film.md
LASTING = (0.025, 0.06)
JITTER = (0.05, 0.12)
SIDEWAYS = (0.35, 1.0)
CHANGE = (0.10, 0.25)
APART_DOUBTFUL, APART_BAD = 0.04, 0.30  # share of the air's frames in which the passes disagree
BROKEN_DOUBTFUL, BROKEN_BAD = 0.06, 0.30  # share of frames in which a chain of limbs has a wrong length
WRONG_LENGTH = 0.35  # of its usual length
SCATTER_DOUBTFUL, SCATTER_BAD = 0.20, 0.40  # of angular momentum through a flight
STATURE_LEAST, STATURE_MOST = 0.95, 2.05  # m, whom a camp meets
CLICKS_IN_PIKE = 3  # clicked frames that vouch for what lies between them
QUARREL = 60 * degree  # of the whole turning, between silhouette and joints
SLOWED = (2, 4, 8)  # by how much phones slow a film down: 60, 120 or 240 frames shown at 30
MOVED = "The camera moved"
COMPANY = "Somebody else flies"
CLICK = "Click the six to eight frames that are proposed: shoulder, hip, knee and ankle in each."


def judged(
    track: Track,
    course: Course,
    fall: Fall,
    *,
    ends: tuple[Contact, Contact],
    sense: Sense,
    known: tuple[float | None, float, float],
) -> Judged:
    """Whether this film can carry numbers, and which.

    Units
        ends : take-off and landing; known : stature given (m or None), stature estimated (m), scatter of the
        angular momentum

    Source
        law: free fall, limbs that keep their length, angular momentum that stays; limits are assumptions told above

    Example
        >>> judged.__name__
        'judged'
    """
    air = course.between(ends[0].time, ends[1].time)
    apart = share_apart(track, air)
    broken = float(np.mean(broken_limbs(course, air)[air])) if air.any() else 1.0
    slowed, slow_reason = _slowed(known[0], known[1])
    path = moved_camera(track) or _path(fall, slow_reason or _feet_up(course, ends) or _company(track))
    guessed = float(np.mean(guessed_pike(track, course)[air])) if air.any() else 0.0
    pose = _pose(apart, broken, course, air, piked=guessed)
    if track.second is not None:
        pose = by_both_eyes(pose, track.second, air)
    turning = _turning(track.silhouette, course, ends, pose)
    momentum = _momentum(known[2], pose)
    reasons = [v.sentence for v in (path, turning, pose, momentum) if v.trust != Trust.GOOD]
    if not sense.sure:
        reasons.append(
            "It is not sure which way she faced at take-off, so backward and forward may be swapped."
        )
    for contact, name in zip(ends, ("take-off", "landing"), strict=True):
        if not contact.seen:
            reasons.append(contact.missing(name))
    reasons += track.notes
    way_out = None if pose.trust == turning.trust == Trust.GOOD else CLICK
    said = tuple(dict.fromkeys(reasons))
    return Judged(path, pose, turning, momentum, apart, broken, slowed, said, way_out, guessed)


def share_apart(track: Track, air: Flags) -> float:
    """Share of the frames in the air in which forward and backward pass disagree; NaN when only one pass ran.

    With our own network beside the stock model: in which the two pairs of eyes disagree, or the one used doubts.
    """
    known = np.ones(len(track.apart), dtype=bool) if track.second is not None else np.isfinite(track.apart)
    known &= air
    return float(np.mean(track.quarrels[known])) if known.any() else float("nan")


def broken_limbs(course: Course, air: Flags) -> Flags:
    """In which frames the way shoulder to hip to knee, or knee to ankle, is much longer or shorter than usual, (N,).

    Valid
        trunk and thigh together: in a deep fold the point that is seen as the hip moves along, and one grows as the
        other shrinks
    """
    at = course.places
    trunk, thigh, shank = (
        np.linalg.norm(at[end] - at[start], axis=1)
        for start, end in (("hip", "shoulder"), ("hip", "knee"), ("knee", "ankle"))
    )
    bad = np.zeros(len(course.times), dtype=bool)
    for length in (trunk + thigh, shank):
        usual = float(np.nanmedian(length[air])) if np.isfinite(length[air]).any() else float("nan")
        bad |= ~(np.abs(length / usual - 1) < WRONG_LENGTH)
    return bad


def _path(fall: Fall, slow_reason: str | None) -> Verdict:
    found = [
        (fall.longest, LASTING, "leaves the curve of a fall"),
        (fall.scatter, JITTER, "jumps about the curve of a fall"),
        (abs(fall.bend), SIDEWAYS, "is pulled sideways, which nothing in the air does"),
        (abs(fall.fall_change), CHANGE, "falls differently in its first and last half"),
    ]
    bad = [words for value, (_, most), words in found if not value <= most]
    doubtful = [words for value, (good, most), words in found if good < value <= most]
    why = "The camera moved, the picture is not a film of a fall, or the athlete was lost."
    if bad:
        return Verdict(Trust.NONE, f"The mass centre {bad[0]}. {why}")
    if slow_reason is not None:
        return Verdict(Trust.DOUBTFUL, slow_reason)
    if doubtful:
        return Verdict(Trust.DOUBTFUL, f"The mass centre {doubtful[0]}, a little. {why}")
    return Verdict(
        Trust.GOOD,
        f"The mass centre falls as gravity makes it, to {100 * fall.scatter:.1f} cm in each frame.",
    )


def moved_camera(track: Track) -> Verdict | None:
    """A refusal where whoever looked at the pictures noted that the camera moved."""
    told = [note for note in track.notes if note.startswith(MOVED)]
    if not told:
        return None
    return Verdict(Trust.NONE, f"{told[0]} Film again with a camera that stands still.")


def _company(track: Track) -> str | None:
    """What the detector said of somebody else in the air: it may have taken one for the other."""
    return next((note for note in track.notes if note.startswith(COMPANY)), None)


def _feet_up(course: Course, ends: tuple[Contact, Contact]) -> str | None:
    """Whether she met or left something otherwise than with her feet below her; None where the feet are below."""
    rise = course.places["hip"][:, 1] - course.places["ankle"][:, 1]
    names = [
        n
        for n, c in zip(("take-off", "landing"), ends, strict=True)
        if c.how == NOT_FOUND or (c.seen and course.at(rise, c.time) < 0)
    ]
    if not names:
        return None
    return (
        f"At the {' and the '.join(names)} her feet are not below her: it was no {names[0]} on the feet, or it was not "
        "found."
    )


def slow_motion(estimated: float, factor: int) -> str:
    """What is said of a film whose times look slowed down.

    Example
        >>> slow_motion(6.0, 2)[:41]
        'By gravity she would stand 6.0 m tall. It'
    """
    return (
        f"By gravity she would stand {estimated:.1f} m tall. It looks like slow motion, {factor} times: "
        f"then she stands {estimated / factor**2:.2f} m. Say whether that is so; nothing was changed."
    )


def _slowed(given: float | None, estimated: float) -> tuple[int, str | None]:
    """By which factor the times look slowed down: a wrong factor of 2 makes her four times as tall."""
    if not np.isfinite(estimated):
        return 1, None
    least, most = (0.87 * given, 1.15 * given) if given is not None else (STATURE_LEAST, STATURE_MOST)
    if least <= estimated <= most:
        return 1, None
    for factor in SLOWED:
        if least <= estimated / factor**2 <= most:
            return factor, slow_motion(estimated, factor)
    told = f"against {given:.2f} m that were given" if given is not None else "which nobody at a camp does"
    return 1, (
        f"By gravity she would stand {estimated:.2f} m tall, {told}. Times of the film, its camera, or the "
        "height given are wrong."
    )


def guessed_pike(track: Track, course: Course) -> Flags:
    """In which frames she is in a pike and only a pose model says so, (N,).

    Clicks in the pike vouch for the frames between them: what stays automatic there lies near to what physics says.
    So does our own network in frames in which it is sure of itself and the stock model does not contradict it.
    """
    pike = piked(course.hip, course.knee)
    joints = [COLUMN[f"left_{joint}"] for joint in ("shoulder", "hip", "knee", "ankle")]
    clicked = np.flatnonzero((track.origin[:, joints] == BY_HAND).all(axis=1) & pike)
    guessed = pike & (track.origin[:, joints] == BY_MODEL).any(axis=1)
    if len(clicked) >= CLICKS_IN_PIKE:
        guessed[clicked[0] : clicked[-1] + 1] = False
    if track.second is not None:
        guessed &= ~(track.second.used & track.second.sure)
    return np.asarray(guessed)


def _pose(apart: float, broken: float, course: Course, air: Flags, *, piked: float) -> Verdict:
    lost = float(np.mean(~np.isfinite(course.hip[air]))) if air.any() else 1.0
    if apart > APART_BAD or broken > BROKEN_BAD or lost > BROKEN_BAD:
        return Verdict(
            Trust.NONE, f"The joints were not followed through this flight{_shares(apart, broken, lost)}."
        )
    if piked > PIKED_DOUBTFUL:
        return Verdict(
            Trust.DOUBTFUL,
            f"She is in a pike in {100 * piked:.0f} % of frames: there a pose model guesses knees and feet, and both "
            "passes guess alike. Click 6 to 8 frames.",
        )
    if apart > APART_DOUBTFUL or broken > BROKEN_DOUBTFUL or lost > BROKEN_DOUBTFUL:
        return Verdict(
            Trust.DOUBTFUL, f"The joints are doubtful in some frames{_shares(apart, broken, lost)}."
        )
    if np.isnan(apart):
        return Verdict(Trust.GOOD, "One pass only; limbs keep their length.")
    return Verdict(Trust.GOOD, "Both passes agree, and limbs keep their length.")


def by_both_eyes(pose: Verdict, second: SecondEyes, air: Flags) -> Verdict:
    """The verdict on the pose, with what the two pairs of eyes have to say of the whole flight.

    Units
        air : (N,) the frames in the air

    Source
        definition

    Example
        >>> sure = np.ones(2, dtype=bool)
        >>> eyes = SecondEyes(np.zeros((2, 6, 2)), np.ones((2, 6)), np.ones(2), np.zeros(2), sure, sure, "own 1")
        >>> by_both_eyes(Verdict(Trust.GOOD, "Both passes agree."), eyes, sure).sentence
        'Both pairs of eyes agree in 100 % of frames; in 100 % our own network, taught on drawn bodies, has a say.'
    """
    if not air.any():
        return pose
    sure, used = float(np.mean(second.sure[air])), float(np.mean(second.used[air]))
    told = (
        f"Both pairs of eyes agree in {100 * sure:.0f} % of frames; in {100 * used:.0f} % our own network, taught on "
        "drawn bodies, has a say."
    )
    if pose.trust == Trust.GOOD:
        return Verdict(Trust.GOOD, told)
    doubt = pose.sentence.replace("the two passes disagree", "the two pairs of eyes disagree, or doubt,")
    return Verdict(pose.trust, f"{doubt} {told}")


def _shares(apart: float, broken: float, lost: float) -> str:
    told = []
    if apart > APART_DOUBTFUL:
        told.append(f"the two passes disagree in {100 * apart:.0f} % of frames")
    if broken > BROKEN_DOUBTFUL:
        told.append(f"limbs change their length in {100 * broken:.0f} %")
    if lost > BROKEN_DOUBTFUL:
        told.append(f"{100 * lost:.0f} % of frames show no joints")
    return ": " + ", ".join(told) if told else ""


def _turning(
    silhouette: Silhouette | None, course: Course, ends: tuple[Contact, Contact], pose: Verdict
) -> Verdict:
    by_joints = course.turned_at(ends[1].time) - course.turned_at(ends[0].time)
    by_axis = silhouette_turning(silhouette, course, ends)
    if by_axis is None:
        word = (
            ""
            if pose.trust == Trust.GOOD
            else " The joints are doubtful, and no silhouette tells the turning."
        )
        trust = Trust.GOOD if pose.trust == Trust.GOOD else pose.trust
        return Verdict(trust, word.strip() or "By the joints; no silhouette to compare.")
    apart = abs(by_joints - by_axis)
    if apart <= QUARREL:
        return Verdict(Trust.GOOD, f"Joints and silhouette agree on the turning to {apart / degree:.0f}°.")
    return Verdict(
        Trust.DOUBTFUL,
        f"Joints and silhouette disagree on the turning: {abs(by_joints) / degree:.0f}° and "
        f"{abs(by_axis) / degree:.0f}°.",
    )


def silhouette_turning(
    silhouette: Silhouette | None, course: Course, ends: tuple[Contact, Contact]
) -> float | None:
    """How far the silhouette's long axis turned in the air, rad against the clock; None where it is not known."""
    if silhouette is None:
        return None
    air = course.between(ends[0].time - 0.05, ends[1].time + 0.05)
    known = np.isfinite(silhouette.axis) & air
    if known.sum() < 0.8 * air.sum():
        return None
    t, axis = course.times[known], silhouette.axis[known]
    return float(np.interp(ends[1].time, t, axis) - np.interp(ends[0].time, t, axis))


def _momentum(scatter: float, pose: Verdict) -> Verdict:
    if pose.trust == Trust.NONE or not np.isfinite(scatter):
        return Verdict(Trust.NONE, "The joints cannot carry the angular momentum.")
    if scatter > SCATTER_BAD:
        return Verdict(
            Trust.NONE, f"The angular momentum wanders by {100 * scatter:.0f} %; in the air it cannot."
        )
    if scatter > SCATTER_DOUBTFUL:
        return Verdict(
            Trust.DOUBTFUL,
            f"The angular momentum wanders by {100 * scatter:.0f} %; good film keeps it within 20 %.",
        )
    return Verdict(Trust.GOOD, f"The angular momentum keeps to {100 * scatter:.0f} %.")
