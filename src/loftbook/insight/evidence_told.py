"""What home coaches wrote of the training towards a rung: told, not seen, each with who wrote it and when."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from loftbook.book.answering import HomeAnswer
from loftbook.insight.evidence_known import Point


def told_from_home(answers: Sequence[HomeAnswer], about: Collection[str]) -> Iterator[Point]:
    """What was trained on these rungs, as the home coaches say, and whatever else they wrote.

    Words of theirs travel as they were written; who shows them shows them as a quotation.
    """
    for answer in answers:
        by, on = answer.by, answer.written.date()
        for item in answer.items:
            if item.rung not in about or item.is_empty:
                continue
            said = ", ".join(part for part in (item.trained.words, item.how_often) if part)
            if said:
                yield Point("item", {"title": item.title, "said": said, "by": by}, on=on)
            for kind in ("what", "problems", "clip"):
                if words := getattr(item, kind):
                    yield Point(kind, {"title": item.title, "words": words, "by": by}, on=on)
        if answer.more:
            yield Point("more", {"words": answer.more, "by": by}, on=on)
