"""Whether the titles of a camp list agree with the camp that it is read for."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from loftbook.book.people import Camp
from loftbook.book.typed.decisions import Answers, Choice, FileDecision, as_answered
from loftbook.book.typed.titles import CampTitle, read_titles, span_in_words
from loftbook.book.typed.words import fold
from loftbook.ladder.scales import Landing, TakeOff

SURFACES = "camp surfaces"
SAID = 0.99  # how sure it is what the list itself says in words


def title_checks(
    titles: Sequence[str], camp: Camp, *, today: date, answers: Answers
) -> tuple[FileDecision, ...]:
    """Days, bed and surfaces of the titles against the camp's: stated where they agree, asked where not."""
    said = read_titles(titles, today=today)
    return tuple(
        as_answered(d, answers) for d in (_days(said, camp), *_bed(said, camp), _surfaces(said, camp))
    )


def surfaces_of(
    checks: Sequence[FileDecision], titles: Sequence[str], camp: Camp, *, today: date
) -> tuple[TakeOff | None, Landing | None]:
    """What the list's turns went from and onto: the camp's, unless the coach chose the title's."""
    chosen = next((c.chosen for c in checks if c.id == SURFACES), "")
    take_off, landing = _of_camp(camp)
    if chosen == "list":
        said = read_titles(titles, today=today)
        return said.take_off or take_off, said.landing or landing
    return (None, None) if chosen == "unknown" else (take_off, landing)


def surfaces_are_said(decisions: Sequence[FileDecision]) -> bool:
    """Whether the list, or the coach by her answer, says what the camp's turns went from and onto."""
    found = next((d for d in decisions if d.id == SURFACES), None)
    return found is not None and (found.chosen == "camp" or found.confidence == SAID)


def _of_camp(camp: Camp) -> tuple[TakeOff | None, Landing | None]:
    take_off = next((t for t in TakeOff if t.value == camp.take_off), None)
    return take_off, next((m for m in Landing if m.value == camp.landing), None)


def _days(said: CampTitle, camp: Camp) -> FileDecision:
    mine = f"“{camp.name}”, {span_in_words(camp.starts, camp.ends)}"
    if said.starts is None or said.ends is None:
        why = said.problem or "the list does not tell its days"
        return FileDecision("camp days", "take", f"Camp: {mine}, as you said; {why}.", 0.9)
    if camp.shares_days(said.starts, said.ends):
        return FileDecision("camp days", "take", f"Camp: {mine}; the list names the same days.", 0.99)
    theirs = span_in_words(said.starts, said.ends)
    sentence = f"Camp: the list is of {theirs}, but it is read for {mine}. Is it the right list?"
    return FileDecision("camp days", "ask", sentence, None, (Choice("camp", f"yes, it is of {mine}"),))


def _bed(said: CampTitle, camp: Camp) -> tuple[FileDecision, ...]:
    if not said.bed or not camp.bed or fold(said.bed) == fold(camp.bed):
        return ()
    sentence = f"Bed: the list names {said.bed}, the camp {camp.bed}. Which was it?"
    choices = (Choice("camp", f"go on; {camp.bed} stands, correct the camp if the list is right"),)
    return (FileDecision("camp bed", "ask", sentence, None, choices),)


def _surfaces(said: CampTitle, camp: Camp) -> FileDecision:
    take_off, landing = _of_camp(camp)
    differs = (said.take_off or take_off) is not take_off or (said.landing or landing) is not landing
    mine = _in_words(take_off, landing)
    choices = (
        Choice("camp", mine),
        *([Choice("list", _in_words(said.take_off or take_off, said.landing or landing))] if differs else []),
        Choice("unknown", "not written down"),
    )
    if differs:
        theirs = _in_words(said.take_off or take_off, said.landing or landing)
        sentence = f"Surfaces: the list says {theirs}, the camp {mine}. Which holds for these marks?"
        return FileDecision(SURFACES, "ask", sentence, None, choices)
    if said.take_off and said.landing:
        return FileDecision(SURFACES, "take", f"Surfaces: {mine}, as list and camp say.", SAID, choices)
    if camp.surfaces_assumed:
        sentence = (
            f"Surfaces: ASSUMED {mine}, the usual, since neither the list nor anybody else says all of it. Letters say "
            "that it is assumed until you confirm it: answer “camp” here, or confirm or correct it at the camp."
        )
        return FileDecision(SURFACES, "take", sentence, 0.7, choices)
    sentence = f"Surfaces: {mine}, as the camp says; the list does not tell all of it."
    return FileDecision(SURFACES, "take", sentence, 0.9, choices)


def _in_words(take_off: TakeOff | None, landing: Landing | None) -> str:
    return (
        f"from {'the ' + take_off.words if take_off else 'what is not known'} "
        f"onto {'the ' + landing.words if landing else 'what is not known'}"
    )
