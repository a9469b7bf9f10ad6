"""Films as lines of plain text for a terminal, and a bar that shows how far the work is."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from loftbook.desk.film.answers import FilmLine, FilmsAnswer
from loftbook.desk.film.eyes import eyes_told
from loftbook.desk.film.judging import Line, Trial
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


HEAD = (
    *("detector", "frames", "usable", "folded", "hip", "knee", "trunk", "sure", "wrong"),
    *("turned", "flight", "wrong of the surest 100/95/90/80 %"),
)
BEST_CASE = (
    "Drawn bodies are a best case. What one is worth on real film, only frames clicked in real film tell."
)


def judged_lines(found: Trial) -> list[str]:
    """A table for each clip, one for all clips of each shape, and whether the targets were reached."""
    lines: list[str] = []
    for scores in (found.scores, found.shapes):
        for clip in dict.fromkeys(one.clip for one in scores):
            rows = [HEAD, *(_judged(one) for one in scores if one.clip == clip)]
            wide = [max(len(row[n]) for row in rows) for n in range(len(HEAD))]
            shape = next(one.shape for one in scores if one.clip == clip)
            lines.append(clip if shape in clip else f"{clip}, {shape}")
            lines += [
                "  " + "  ".join(f"{cell:>{w}}" for cell, w in zip(row, wide, strict=True)) for row in rows
            ]
    return [*lines, *found.sentences, BEST_CASE]


def _judged(one: Line) -> tuple[str, ...]:
    def share(value: float | None) -> str:
        return "–" if value is None else f"{100 * value:.1f} %"

    def pair(values: tuple[float | None, float | None], form: str) -> str:
        known = ["–" if value is None else format(value, form) for value in values]
        return "" if values == (None, None) else "/".join(known)

    return (
        one.detector,
        str(one.frames),
        share(one.usable),
        share(one.usable_folded),
        *(f"{value:.1f}°" for value in (one.hip, one.knee, one.trunk)),
        share(one.kept),
        share(one.wrong),
        pair(one.turned, ".0f"),
        pair(one.flight_time, ".3f"),
        "/".join(f"{100 * value:.1f}" for value in one.risk),
    )
