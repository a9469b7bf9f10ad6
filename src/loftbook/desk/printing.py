"""The papers: letters to the home coaches and the camp's lists, as pages and as PDF."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from uuid import UUID

from loftbook.book.people import Athlete
from loftbook.book.typed.words import fold
from loftbook.desk import Desk
from loftbook.desk.answers import CampAnswer, camp_answer
from loftbook.desk.files import write_file
from loftbook.desk.letters import letter_of_one, letters_of_camp
from loftbook.desk.people import all_athletes
from loftbook.desk.privacy.leaving import papers_written
from loftbook.reports.page import Page
from loftbook.reports.pdf import write_pdf, write_pdfs
from loftbook.reports.sheets.camp_lists.compose import CampListFacts
from loftbook.reports.sheets.camp_lists.compose import compose as compose_lists
from loftbook.reports.sheets.letter.compose import compose as compose_letter


def letter(desk: Desk, athlete_id: UUID, camp_id: UUID | None = None) -> Page:
    """The letter to her home coach about one camp, the latest she came to by default."""
    return compose_letter(letter_of_one(desk, athlete_id, camp_id))


def letter_pdf(desk: Desk, athlete_id: UUID, camp_id: UUID | None = None, *, paper: str = "a4") -> bytes:
    """The same letter as PDF."""
    return write_pdf(letter(desk, athlete_id, camp_id), paper, made=_now(desk))


def letters_pdf(desk: Desk, camp_id: UUID, *, paper: str = "a4") -> dict[UUID, bytes]:
    """A letter for each child of a camp about whom something was written that is not absence."""
    facts = letters_of_camp(desk, camp_id)
    papers = write_pdfs([compose_letter(one) for one in facts], paper, made=_now(desk))
    return {one.athlete.id: pdf for one, pdf in zip(facts, papers, strict=True)}


def camp_lists(desk: Desk, camp_id: UUID) -> Page:
    """The camp's lists as a page: who did what, patterns, changes, expectations."""
    return compose_lists(_list_facts(desk, camp_answer(desk, camp_id)))


def camp_lists_pdf(desk: Desk, camp_id: UUID, *, paper: str = "a4") -> bytes:
    """The same lists as PDF."""
    return write_pdf(camp_lists(desk, camp_id), paper, made=_now(desk))


def _list_facts(desk: Desk, answer: CampAnswer) -> CampListFacts:
    return CampListFacts(
        camp=answer.camp,
        ladder=desk.ladder,
        athletes=tuple(answer.athletes.values()),
        inventory=answer.inventory,
        changes=answer.changes,
        expected=answer.expected,
        printed=desk.clock().date(),
    )


def _now(desk: Desk) -> datetime:
    return desk.clock().replace(microsecond=0)


def file_name(kind: str, athlete: Athlete) -> str:
    """A file name that every system can hold, with the start of her id against two of one name."""
    words = "-".join(fold(athlete.name.full).encode("ascii", "ignore").decode().split())
    return f"{kind}-{words[:60] or 'gymnast'}-{str(athlete.id)[-6:]}.pdf"


def named_letters(desk: Desk, camp_id: UUID, *, paper: str = "a4") -> dict[str, bytes]:
    """A letter for each child of a camp as PDF, by the name of its file."""
    known = {a.id: a for a in all_athletes(desk)}
    letters = letters_pdf(desk, camp_id, paper=paper)
    return {file_name("letter", known[who]): data for who, data in letters.items()}


def write_letters(desk: Desk, camp_id: UUID, folder: Path, *, paper: str = "a4") -> tuple[Path, ...]:
    """Writes a letter for each child of a camp into a folder; returns the files."""
    files = {folder / name: data for name, data in named_letters(desk, camp_id, paper=paper).items()}
    for file, data in files.items():
        write_file(file, data)
    papers_written(desk, tuple(files), camp=camp_id)
    return tuple(files)
