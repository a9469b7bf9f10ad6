"""What home coaches answered, in the order in which it came in."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import asdict
from typing import Any
from uuid import UUID

import sqlalchemy as sa

from loftbook.book.answering import HomeAnswer, Trained, TrainedItem
from loftbook.store.answer_table import home_answer
from loftbook.store.batches import batched, insert_all


def add_answers(connection: sa.Connection, new: Iterable[HomeAnswer]) -> None:
    """Writes answers down; nothing is ever overwritten."""
    rows = [dict(vars(one)) | {"items": [_row(item) for item in one.items]} for one in new]
    insert_all(connection, home_answer, rows)


def answers_of(connection: sa.Connection, athletes: Collection[UUID]) -> tuple[HomeAnswer, ...]:
    """Everything that was answered about these gymnasts, oldest first, also what was put right since."""
    found: list[HomeAnswer] = []
    for some in batched(athletes):
        query = sa.select(home_answer).where(home_answer.c.athlete.in_(some)).order_by(home_answer.c.seq)
        for row in connection.execute(query).mappings():
            told = {name: value for name, value in row.items() if name != "seq"}
            found.append(HomeAnswer(**told | {"items": tuple(_item(one) for one in row["items"])}))
    return tuple(found)


def _row(item: TrainedItem) -> dict[str, Any]:
    return asdict(item) | {"trained": item.trained.value}


def _item(told: Mapping[str, Any]) -> TrainedItem:
    return TrainedItem(**{**told, "trained": Trained(told["trained"])})
