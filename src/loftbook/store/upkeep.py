"""Leaves nothing of what was deleted in the book's file or in its log."""

from __future__ import annotations

from sqlalchemy.exc import DatabaseError

from loftbook.store.database import Store


def compact(store: Store) -> tuple[str, ...]:
    """Writes the file anew without free pages, moves the log into it and empties the log.

    Returns a sentence for what could not be done because somebody else has the book open;
    it is done again at the next start. A book on a server does that by itself.
    """
    if store.engine.dialect.name != "sqlite":
        return ()
    with store.engine.connect().execution_options(loftbook_kind="alone") as connection:
        try:
            connection.exec_driver_sql("VACUUM")
        except DatabaseError as error:
            return (f"the book's file could not be written anew ({error.orig}): close other programs that read it, "
                    "then run `loftbook book tidy`",)  # fmt: skip
        busy = connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)").first()
    if busy is not None and busy[0]:
        return (
            "the book's log could not be emptied while another program reads it: run `loftbook book tidy`",
        )
    return ()
