"""What the quick pose model is not trusted with: everything that rests on where exactly the feet are."""

from __future__ import annotations

from dataclasses import replace

from loftbook.film.reading import Reading
from loftbook.mechanics import Trust, Verdict

QUICK = "lite"
# Rendered clips, a best case: its ankles are off by 2.5 % of stature where the heavy model's are off by 0.9 %.
WIDER = 2.5
ON_FEET = frozenset(
    {
        "time of flight",
        "height",
        "contact time",
        "rotation",
        "rotation in the first half",
        "rotation in the second half",
        "lean at take-off",
        "landing lean",
    }
)
WORDS = "Measured with the quick model, which finds the feet less surely: measure again with the heavy one."


def as_sure_as_its_model(readings: tuple[Reading, ...], detector: str) -> tuple[Reading, ...]:
    """Readings of the quick model that rest on the feet: wider, and never called sound.

    Units
        as in `Reading`; detector : name of what followed her

    Source
        the three rendered clips against their truth, a best case

    Example
        >>> sure = Verdict(Trust.GOOD, "Both ends are in the film.")
        >>> one = Reading("time of flight", 1.55, "s", 0.008, sure, "feet", "time of flight/1")
        >>> found = as_sure_as_its_model((one,), "BlazePose lite 0123")[0]
        >>> found.value, found.uncertainty, found.verdict.trust == "doubtful"
        (1.55, 0.02, True)
        >>> as_sure_as_its_model((one,), "BlazePose heavy 0123") == (one,)
        True
    """
    if QUICK not in detector:
        return readings
    return tuple(_wider(one) if one.name in ON_FEET else one for one in readings)


def _wider(one: Reading) -> Reading:
    if one.uncertainty is None:
        return one
    verdict = one.verdict
    if verdict.trust == Trust.GOOD:
        verdict = Verdict(Trust.DOUBTFUL, f"{verdict.sentence} {WORDS}")
    return replace(one, uncertainty=WIDER * one.uncertainty, verdict=verdict)
