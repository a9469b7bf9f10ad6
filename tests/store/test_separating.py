"""Row by row on both databases: every table of the schema, read as a coach and as the programme.

The rows are those of `released/make`: two in every table, the first of one child at one camp, the second of another
child at another camp. Each database is the other's second engine: a policy and a view let the same through.
"""

from uuid import uuid5

import pytest
import sqlalchemy as sa
from tests import engines
from tests.store.released.make import SPACE, STEPS, at_step

from loftbook.book.accounts import Sees
from loftbook.errors import LoftbookError, Refused
from loftbook.store import accounts, schema, separating
from loftbook.store.database import MARK, open_book

TABLES = {table.name: table for table in schema.metadata.sorted_tables}
SHARED = {"book", "ladder_text"}
#: The keeper's own: secrets, lists as they were typed, logs, who else is let in.
KEPT_BACK = {
    *("account", "setting", "device", "pairing", "received", "person", "import_file", "pending_import"),
    *("gone_out", "gone_out_about", "erased", "same_as", "camp_last"),
}


def filled(tmp_path_factory):
    """Two rows in every table, in a file and on a server."""
    file = tmp_path_factory.mktemp("two") / "two.book"
    at_step(file, STEPS[-1])
    raw = sa.create_engine(sa.URL.create("sqlite", database=str(file)))
    with raw.begin() as connection:
        camp = uuid5(SPACE, "camp 0")  # a record as it was sent: it refers to nothing
        connection.exec_driver_sql(f"UPDATE set_aside SET camp = '{camp}' WHERE seq = 1")
        connection.exec_driver_sql(f"PRAGMA application_id = {MARK}")
    raw.dispose()
    lite, server = open_book(file, create=False), engines.the_server().book()
    copied(lite, server)
    return {"sqlite": lite, "postgresql": server}


def copied(lite, server):
    """Every row, and the server's own rules; laid twice, since a second time changes nothing."""
    with lite.read() as there, server.write() as here:
        here.execute(sa.delete(TABLES["book"]))
        for table in schema.metadata.sorted_tables:
            here.execute(sa.insert(table), [dict(row._mapping) for row in there.execute(sa.select(table))])
    for _ in range(2):
        with server.write() as here:
            separating.lay_policies(here)


@pytest.fixture(scope="module")
def both(tmp_path_factory):
    stores = filled(tmp_path_factory)
    yield stores
    for store in stores.values():
        store.close()


def seen_as(store, sees):
    with store.read() as connection:
        (who,) = (one for one in accounts.accounts(connection) if one.sees is sees)
    return store.as_seen_by(who)


@pytest.fixture(params=engines.ENGINES)
def hers(both, request):
    """The book as the coach of the first camp sees it."""
    return seen_as(both[request.param], Sees.COACH)


@pytest.fixture(params=engines.ENGINES)
def programme(both, request):
    return seen_as(both[request.param], Sees.PROGRAMME)


def rows(store, table):
    with store.read() as connection:
        return [
            tuple(row) for row in connection.execute(sa.select(table).order_by(*table.primary_key.columns))
        ]


def test_every_table_has_a_rule():
    assert set(separating.OF_A_COACH) == set(TABLES)
    assert set(separating.OF_THE_PROGRAMME) <= set(TABLES)


@pytest.mark.parametrize("name", TABLES)
def test_a_coach_sees_the_row_of_her_camp_and_no_other(both, hers, name):
    """Common practice, no source: what is of her camp or her children is read, what is of the next is not."""
    whole, seen = rows(both["sqlite"], TABLES[name]), rows(hers, TABLES[name])
    if name in SHARED:
        assert [row[:2] for row in seen] == [row[:2] for row in whole]  # a book counts its own writes
    elif name in KEPT_BACK:
        assert seen == []
    else:
        assert len(whole) == 2
        first = {str(uuid5(SPACE, f"{one} 0")) for one in TABLES}
        mine = [row for row in whole if first & {str(value) for value in row}]
        assert seen == mine
        assert len(mine) == 1


@pytest.mark.parametrize("name", TABLES)
def test_the_programme_reads_the_columns_of_counts_and_nothing_else(programme, name):
    """No text of a person can be read: of words only the rung, the edition and the ladder itself."""
    for column in TABLES[name].columns:
        told = (name, column.name)
        try:
            with programme.read() as connection:
                connection.execute(sa.select(column)).all()
        except LoftbookError:
            assert column.name not in separating.OF_THE_PROGRAMME.get(name, ()), told
            continue
        assert column.name in separating.OF_THE_PROGRAMME[name], told
        free = type(column.type).__name__ in ("Words", "Doc", "Names", "Day", "Real", "Blob")
        told_by_all = column.name in ("rung", "edition") or name in ("ladder_text", "camp")
        assert told_by_all or not free, told
    with pytest.raises(LoftbookError), programme.read() as connection:
        connection.exec_driver_sql("SELECT name FROM camp").all()


@pytest.mark.parametrize("statement", ["SELECT * FROM main.athlete_name", "SELECT name FROM sqlite_master"])
def test_a_file_is_not_read_past_the_views(both, statement):
    with pytest.raises(LoftbookError), seen_as(both["sqlite"], Sees.COACH).read() as connection:
        connection.exec_driver_sql(statement).all()


@pytest.mark.parametrize("kind", ["write", "note"])
def test_an_account_writes_nothing(hers, kind):
    with pytest.raises(Refused), getattr(hers, kind)():
        pass
    for statement in ("DELETE FROM birth", "UPDATE camp SET name = 'x'", "CREATE TABLE x (y integer)"):
        with pytest.raises(LoftbookError), hers.read() as connection:
            connection.exec_driver_sql(statement)
    with pytest.raises(Refused):
        hers.alone("VACUUM")


def test_who_has_no_account_sees_nothing_by_the_server_s_own_rules(both):
    """A role that forgot to say for whom it asks: closed, not open."""
    server = both["postgresql"]
    with server.engine.begin() as connection:
        role = separating._quoted(connection, separating._roles(connection)[Sees.COACH])
        connection.exec_driver_sql(f"SET LOCAL ROLE {role}")
        for name in sorted(set(TABLES) - SHARED):
            assert connection.execute(sa.select(TABLES[name])).all() == [], name


def owned_by(who, rights=""):
    """A new book in a database of a user's own."""
    server = engines.the_server()
    address = sa.make_url(server.empty())
    with server.admin.connect() as connection:
        connection.exec_driver_sql(f"CREATE ROLE {who} LOGIN {rights}")
        connection.exec_driver_sql(f"ALTER DATABASE {address.database} OWNER TO {who}")
    return open_book(address.set(username=who).render_as_string(hide_password=False))


def test_a_plain_owner_of_the_database_can_separate_and_still_sees_all(both):
    """PostgreSQL's superuser passes every policy; who is none must come to the same."""
    store = owned_by("keeper", "CREATEROLE")
    copied(both["sqlite"], store)
    assert len(rows(store, TABLES["camp"])) == 2
    assert len(rows(seen_as(store, Sees.COACH), TABLES["camp"])) == 1
    store.close()


def test_who_may_not_make_roles_is_told_so():
    store = owned_by("weak")
    with pytest.raises(LoftbookError, match="CREATEROLE"), store.write() as connection:
        separating.lay_policies(connection)
    store.close()


def test_a_table_that_a_later_step_makes_is_let_through_too(both):
    """Who separated camps before the step reads by the same keys after it."""
    store = owned_by("earlier", "CREATEROLE")
    copied(both["sqlite"], store)
    with store.write() as connection:
        connection.exec_driver_sql("DROP TABLE camp_last")
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '0011'")
    again = open_book(store.address)
    with seen_as(again, Sees.PROGRAMME).read() as connection:
        told = connection.execute(sa.select(TABLES["camp_last"].c.gymnasts)).all()
    assert told == [(1,), (1,)]  # two children, each at one camp
    for one in (store, again):
        one.close()
