"""All papers of a camp in one go, one after another, so that whoever waits can see how far it is."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime
from pathlib import Path
from types import MappingProxyType
from uuid import UUID

from loftbook.desk import Desk
from loftbook.desk.blank_sheets import blank_sheet
from loftbook.desk.camp_papers import belt_facts, programme_facts
from loftbook.desk.files import write_file
from loftbook.desk.home_answers import form_of_letter
from loftbook.desk.letters import letter_of_one, letters_of_camp
from loftbook.desk.printing import camp_lists, file_name
from loftbook.desk.privacy.leaving import papers_written
from loftbook.errors import UnknownThing
from loftbook.reports.page import Page
from loftbook.reports.pdf import write_pdf
from loftbook.reports.sheets.belt.compose import compose as compose_belt
from loftbook.reports.sheets.hers.compose import compose as compose_hers
from loftbook.reports.sheets.letter.compose import LetterFacts
from loftbook.reports.sheets.letter.compose import compose as compose_letter
from loftbook.reports.sheets.parent.compose import compose as compose_parent
from loftbook.reports.sheets.programme.compose import compose as compose_programme

_AT_ONCE = max(1, min(4, os.cpu_count() or 1))  # papers that are set side by side
Told = Callable[[int, int, str], None]  # so many done, of so many, the name of the last
_FOR_A_CHILD: Mapping[str, Callable[[LetterFacts], Page]] = MappingProxyType(
    {"letter": compose_letter, "parent": compose_parent, "hers": compose_hers}
)
FOR_A_CHILD = tuple(_FOR_A_CHILD)
FOR_A_CAMP: Mapping[str, Callable[[Desk, UUID], Page]] = MappingProxyType(
    {
        "camp-lists": camp_lists,
        "belt-list": lambda desk, camp: compose_belt(belt_facts(desk, camp)),
        "programme-summary": lambda desk, camp: compose_programme(programme_facts(desk, camp)),
        "blank-sheets": blank_sheet,
    }
)


def childs_paper(desk: Desk, kind: str, athlete_id: UUID, camp_id: UUID | None = None) -> Page:
    """One paper about one child: "letter", "parent" (the copy) or "hers" (her own sheet)."""
    if kind not in _FOR_A_CHILD:
        raise UnknownThing(f"a paper called {kind!r}", f"one of {', '.join(FOR_A_CHILD)}", "choose one")
    return _FOR_A_CHILD[kind](letter_of_one(desk, athlete_id, camp_id))


def camps_paper(desk: Desk, kind: str, camp_id: UUID) -> Page:
    """One paper of the camp itself."""
    if kind not in FOR_A_CAMP:
        raise UnknownThing(f"a paper called {kind!r}", f"one of {', '.join(FOR_A_CAMP)}", "choose one")
    return FOR_A_CAMP[kind](desk, camp_id)


def childs_pdf(
    desk: Desk, kind: str, athlete_id: UUID, camp_id: UUID | None = None, *, paper: str = "a4"
) -> bytes:
    """The same as PDF."""
    return write_pdf(childs_paper(desk, kind, athlete_id, camp_id), paper, made=_now(desk))


def camps_pdf(desk: Desk, kind: str, camp_id: UUID, *, paper: str = "a4") -> bytes:
    """The same as PDF."""
    return write_pdf(camps_paper(desk, kind, camp_id), paper, made=_now(desk))


def papers_of_camp(
    desk: Desk, camp_id: UUID, *, paper: str = "a4", told: Told | None = None
) -> Iterator[tuple[str, bytes]]:
    """Every paper of a camp, name and data, one at a time: three for each child, the camp's own, forms for answers."""
    facts = letters_of_camp(desk, camp_id)
    forms = [form_of_letter(desk, one) for one in facts]
    made, every = _now(desk), len(facts) * len(FOR_A_CHILD) + len(FOR_A_CAMP) + len(forms)
    names, pages = zip(*_pages(desk, camp_id, facts), strict=True)
    with ThreadPoolExecutor(_AT_ONCE) as press:  # the typesetter lets other threads run while it works
        waiting = [press.submit(write_pdf, page, paper, made=made) for page in pages]
        try:
            for done, (name, paper_made) in enumerate(zip(names, waiting, strict=True), 1):
                data = paper_made.result()
                if told is not None:
                    told(done, every, name)
                yield name, data
            for done, (name, data) in enumerate(forms, every - len(forms) + 1):
                if told is not None:
                    told(done, every, name)
                yield name, data
        finally:  # whoever asked may have gone away
            press.shutdown(wait=False, cancel_futures=True)


def write_papers(
    desk: Desk, camp_id: UUID, folder: Path, *, paper: str = "a4", told: Told | None = None
) -> tuple[Path, ...]:
    """Writes every paper of a camp into a folder; returns the files."""
    files = []
    for name, data in papers_of_camp(desk, camp_id, paper=paper, told=told):
        write_file(folder / name, data)
        files.append(folder / name)
    papers_written(desk, files, camp=camp_id)
    return tuple(files)


def _pages(desk: Desk, camp_id: UUID, facts: tuple[LetterFacts, ...]) -> Iterator[tuple[str, Page]]:
    for one in facts:
        for kind, compose in _FOR_A_CHILD.items():
            yield file_name(kind, one.athlete), compose(one)
    for kind, made in FOR_A_CAMP.items():
        yield f"{kind}.pdf", made(desk, camp_id)


def _now(desk: Desk) -> datetime:
    return desk.clock().replace(microsecond=0)
