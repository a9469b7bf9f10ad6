"""Brings an older book's tables up to today's, one numbered step after another."""

from __future__ import annotations

from pathlib import Path

import sqlalchemy as sa

from loftbook.errors import BookFileError

#: The last step that this Loftbook knows: the newest file in `migrations/versions`.
NEWEST = "0012"


def bring_up_to_date(connection: sa.Connection, where: str) -> None:
    """Runs the steps that the book lacks; refuses a book from a newer Loftbook."""
    have = step_of(connection)
    if have == NEWEST:
        return
    if have is not None and have > NEWEST:
        raise BookFileError(
            f"The book {where} was written by a newer Loftbook (step {have}; this one knows {NEWEST})",
            todo="update Loftbook, or open a backup made before the update",
        )
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations").replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    command.upgrade(config, "head")


def step_of(connection: sa.Connection) -> str | None:
    """The last step that the book has seen, None for an empty one."""
    if not sa.inspect(connection).has_table("alembic_version"):
        return None
    step: str | None = connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()
    return step
