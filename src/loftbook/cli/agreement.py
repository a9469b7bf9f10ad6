"""`loftbook camp agreement`: how alike two people mark, and one person over time."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from loftbook.cli.options import Book, Json, LadderFile, Which
from loftbook.cli.options import answer as say

if TYPE_CHECKING:
    from loftbook.desk.answers import AgreementAnswer
    from loftbook.insight.agreement.criteria import CriterionAgreement

_COEFFICIENTS = {
    "ac": "AC",
    "kappa": "kappa",
    "kappa_linear": "kappa, linear",
    "kappa_quadratic": "kappa, quadratic",
    "alpha": "alpha",
}


def agreement(
    which: Which = None, book: Book = None, ladder: LadderFile = None, as_json: Json = False
) -> None:
    """Shows how alike two people mark the same turns, criterion by criterion, and how many more are wanted."""
    from loftbook.desk.answers import agreement_answer
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_camp

    desk = open_desk(book, ladder_file=ladder, create=False)
    found = agreement_answer(desk, find_camp(desk, which).id)
    say(found, _lines(found), as_json=as_json)


def _lines(found: AgreementAnswer) -> Iterator[str]:
    yield f"{found.camp.name}, {found.camp.starts} to {found.camp.ends}: how alike two people mark"
    for told, words in ((found.here, "at this camp"), (found.ever, "with all camps before")):
        yield ""
        yield f"{told.turns} turns of {told.children} children marked by two people {words}"
        yield from (line for one in told.criteria.values() for line in _criterion(one))
        if told.least:
            yield told.least
    for again in found.remarked:
        yield ""
        yield f"{again.rater} marked {again.turns} turns again, {again.days[0]} to {again.days[1]} days later"
        for drift in again.drifts:
            moved = drift.moved.words if drift.moved else ""
            yield f"  {drift.scale.name:14} {drift.equal} of {drift.turns} alike  {moved}  {drift.words}"


def _criterion(one: CriterionAgreement) -> Iterator[str]:
    more = f"; {one.more} more turns wanted" if one.more else ""
    if not one.turns:
        yield f"  {one.scale.name:14} marked by nobody twice{more}"
        return
    yield f"  {one.scale.name:14} {one.equal:.0f} of {one.turns} alike ({one.share.words}){more}"
    for name, words in _COEFFICIENTS.items():
        if (found := getattr(one, name)) is not None:
            yield f"  {'':14} {words:17} {found.words}"
    if one.error is not None:
        yield f"  {'':14} error {one.error.error.words}, smallest change {one.error.smallest.words}"
        yield f"  {'':14} a change is told from: {one.error.told_words}"
