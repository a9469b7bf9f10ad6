"""The plan of a camp's day, as a document; the last one stands."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

import sqlalchemy as sa

from loftbook.store.batches import insert_all
from loftbook.store.schema import camp_plan


def plan_of(connection: sa.Connection, camp: UUID) -> dict[str, Any] | None:
    """The plan of a camp as it was kept, None where nobody made one."""
    found: dict[str, Any] | None = connection.execute(
        sa.select(camp_plan.c.plan).where(camp_plan.c.camp == camp)
    ).scalar()
    return found


def keep_plan(connection: sa.Connection, camp: UUID, plan: dict[str, Any], at: datetime) -> None:
    """Keeps a plan instead of an earlier one."""
    connection.execute(sa.delete(camp_plan).where(camp_plan.c.camp == camp))
    insert_all(connection, camp_plan, [{"camp": camp, "plan": plan, "at": at}])
