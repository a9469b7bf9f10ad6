"""Films as lines of plain text for a terminal, and a bar that shows how far the work is."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from loftbook.desk.film.answers import FilmLine, FilmsAnswer
from loftbook.desk.film.eyes import eyes_told
from loftbook.desk.film.measuring import FileMeasured
from loftbook.desk.film.wording import Told, reading_rows, trust_words

DECIDES = "Loftbook measures and reminds. A qualified coach decides what comes next."


@contextmanager
def watched(name: str, *, quiet: bool = False) -> Iterator[Callable[[float], None]]:
    """A progress bar on standard error, where that is a terminal."""
    if quiet or not sys.stderr.isatty():
        yield lambda _: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn, TimeElapsedColumn

    console = Console(stderr=True)
    columns = (TextColumn("{task.description}"), BarColumn(), TaskProgressColumn(), TimeElapsedColumn())
    with Progress(*columns, console=console, transient=True) as bar:
        task = bar.add_task(name, total=1.0)
        yield lambda share: bar.update(task, completed=share)


def measured_lines(found: FileMeasured, name: str, out: Path | None, eyes: str = "") -> list[str]:
    """A measured file: what it holds, the verdict with its reasons, the readings."""
    clip, made = found.clip, found.made
    head = (
        f"{name}: {clip.frames} frames, {clip.rate:.4g} a second, {clip.width} × {clip.height}, {clip.codec}"
    )
    looked = eyes_told(found.track.detector, eyes)
    lines = [head, looked, f"Verdict: {trust_words(made.verdict)}. {made.verdict.sentence}"]
    lines += [f"  – {reason}" for reason in made.reasons if reason != made.verdict.sentence]
    lines += _table(reading_rows(made.readings))
    if out is not None:
        lines.append(f"The time course is in {out}.")
    return [*lines, DECIDES]


def film_lines(line: FilmLine, *, there_already: bool = False) -> list[str]:
    """One film of the book."""
    lines = [_head(line), f"  kept until {line.film.keep_until}; {line.film.consent_words}"]
    if there_already:
        lines.append("  It was there already; nothing was kept twice.")
    if line.withheld:
        return [*lines, f"  {line.withheld}"]
    if line.measured is not None:
        verdict = line.measured.verdict
        lines.append(f"  Verdict: {trust_words(verdict)}. {verdict.sentence}")
        lines += [f"  – {reason}" for reason in line.measured.reasons if reason != verdict.sentence]
        lines += _table(reading_rows(line.measured.readings))
    return [*lines, DECIDES]


def list_lines(answer: FilmsAnswer) -> list[str]:
    """The films of the book."""
    return [f"{len(answer.lines)} films", *(f"  {_head(line)}" for line in answer.lines)]


def _head(line: FilmLine) -> str:
    who = line.athlete.name.full if line.athlete else "a turn that was taken back"
    rung = line.rung.name if line.rung else ""
    camp = f"{line.camp.name} {line.camp.starts}" if line.camp else ""
    state = trust_words(line.measured.verdict) if line.measured else "not measured yet"
    if line.job is not None and (line.job.error or not line.job.state.is_over):
        state = line.job.error or f"{line.job.state.value} ({line.job.says or 'in the queue'})"
    return "  ".join(part for part in (str(line.film.id), who, rung, camp, line.film.name, state) if part)


def _table(rows: Iterable[Told]) -> list[str]:
    told = list(rows)
    wide = max((len(row.name) for row in told), default=0)
    figures = max((len(row.value) for row in told), default=0)
    lines = []
    for row in told:
        lines.append(f"  {row.name:{wide}}  {row.value:{figures}}  {row.trust:12} {row.basis}".rstrip())
        if row.why:
            lines.append(f"  {'':{wide}}  {row.why}")
    return lines
