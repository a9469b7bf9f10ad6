"""With which eyes a film is looked at: the stock pose model alone, or our own network for folded bodies beside it.

A setting, said in every answer. Where nobody says anything, both look only if the network's own file says that it has
reached the targets set for it.
"""

from __future__ import annotations

from typing import cast

from loftbook.desk.film.port import MODELS
from loftbook.errors import ClipError, RangeError
from loftbook.film.blazepose import Kind
from loftbook.film.own.card import Card
from loftbook.film.own.network import network

EYES = ("stock", "both")
BESIDE = "+own"  # behind the name of a stock model: our own network looks as well
ABSENT = "Our own network for folded bodies is not beside the program."
NOT_REACHED = (
    "Our own network for folded bodies is switched off: it has not reached the targets that were set for it."
)


def chosen_model(model: str, eyes: str = "") -> str:
    """The model with which a film is followed: "heavy", or "heavy+own" where our own network looks as well.

    Raises RangeError for words that are none of `MODELS` and `EYES`, ClipError where both are asked for and there is
    no network.
    """
    stock_of(model)
    if eyes and eyes not in EYES:
        raise RangeError(f"the eyes {eyes[:40]!r}", f"one of {', '.join(EYES)}", "choose one of them")
    if model.endswith(BESIDE):
        return model
    card = own_card()
    if eyes == "both" and card is None:
        raise ClipError(
            "no network of our own beside the program", "the one that the wheel carries", "say --eyes stock"
        )
    both = eyes == "both" or (not eyes and card is not None and card.reached)
    return model + BESIDE if both else model


def own_card() -> Card | None:
    """What the network beside the program says of itself; None where there is none."""
    found = network()
    return None if found is None else found.card


def stock_of(model: str) -> tuple[Kind, bool]:
    """The stock model of a chosen one, and whether our own network looks as well."""
    stock = model.removesuffix(BESIDE)
    if stock not in MODELS:
        raise RangeError(f"the model {stock[:40]!r}", f"one of {', '.join(MODELS)}", "choose one of them")
    return cast(Kind, stock), model.endswith(BESIDE)


def eyes_told(detector: str, eyes: str = "") -> str:
    """A sentence on who looked, for whoever reads the numbers.

    >>> eyes_told("BlazePose heavy 0123 + own 3 4567")
    'Looked at with both pairs of eyes: the stock pose model, and our own network 3 where she is folded.'
    >>> eyes_told("BlazePose heavy 0123", "stock")
    'Looked at with the stock pose model alone.'
    """
    if " + own " in detector:
        version = detector.partition(" + own ")[2].split()[0]
        both = "Looked at with both pairs of eyes: the stock pose model, and our own network"
        return f"{both} {version} where she is folded."
    why = "" if eyes == "stock" else f" {ABSENT if own_card() is None else NOT_REACHED}"
    return f"Looked at with the stock pose model alone.{why}"
