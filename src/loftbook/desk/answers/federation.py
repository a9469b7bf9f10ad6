"""A whole federation in counts, for its programme: nobody is named, and nobody can be told from another."""

from __future__ import annotations

from loftbook.book.accounts import Sees
from loftbook.desk import Desk
from loftbook.desk.keeping import kept
from loftbook.desk.standing import up_to_date
from loftbook.insight.federation import FederationInventory, federation_inventory
from loftbook.store import federation
from loftbook.store.database import Connection
from loftbook.store.last_visits import last_counted_anew, last_counts


def federation_answer(desk: Desk) -> FederationInventory:
    """Where everybody stands at her last camp, and how it went over the years, over all camps of the book."""
    with up_to_date(desk) as connection:
        return kept(desk, connection, ("federation",), lambda: _worked_out(desk, connection))


def _worked_out(desk: Desk, connection: Connection) -> FederationInventory:
    # Who sees some camps only has other last ones: hers are counted from what she sees.
    some = desk.seen_by is not None and desk.seen_by.sees is Sees.COACH
    count = last_counted_anew if some else last_counts
    camps, gymnasts = federation.sizes(connection)
    return federation_inventory(
        desk.ladder,
        camps=camps,
        gymnasts=gymnasts,
        now=count(connection),
        years=federation.counts_by_year(connection),
    )
