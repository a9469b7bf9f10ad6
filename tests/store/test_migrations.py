"""Migrations: frozen, complete, and in step with the tables that the code uses."""

import ast
import re
from pathlib import Path

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext

from loftbook.store import migrations, schema, upgrading

pytestmark = pytest.mark.both_engines

STEPS = sorted((Path(migrations.__file__).parent / "versions").glob("r*.py"))


def drift(connection):
    context = MigrationContext.configure(connection, opts={"compare_type": True})
    return compare_metadata(context, schema.metadata)


def test_the_migrations_make_exactly_the_tables_of_the_schema(book):
    with book.read() as connection:
        assert drift(connection) == []


def test_the_comparison_would_see_a_missing_column_and_index(book):
    with book.write() as connection:
        connection.exec_driver_sql("DROP INDEX ix_attempt_replaces")
        connection.exec_driver_sql("ALTER TABLE attempt DROP COLUMN note")
        assert {change[0] for change in drift(connection)} == {"add_column", "add_index"}


@pytest.mark.of_a_file
def test_checks_and_deferred_references_are_the_same_in_both(book):
    """What the comparison does not look at: the statements of the migrations against the schema's own."""
    with book.read() as connection:
        rows = connection.exec_driver_sql("SELECT name, sql FROM sqlite_master WHERE type = 'table'")
        made = {name: told(sql) for name, sql in rows if name in schema.metadata.tables}
    ours = {
        name: told(str(sa.schema.CreateTable(table).compile(dialect=sa.create_engine("sqlite://").dialect)))
        for name, table in schema.metadata.tables.items()
    }
    assert made == ours


def told(statement):
    """The clauses of a CREATE TABLE, in no order."""
    body = statement.strip()
    head, _, rest = body.partition("(")
    inside, _, tail = rest.rpartition(")")
    clauses = [" ".join(clause.split()) for clause in re.split(r",(?![^(]*\))", inside)]
    return head.split(), sorted(filter(None, clauses)), tail.split()


@pytest.mark.parametrize("step", STEPS, ids=lambda step: step.stem)
def test_a_migration_imports_nothing_of_ours(step):
    for node in ast.walk(ast.parse(step.read_text(encoding="utf-8"))):
        names = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
        names += [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
        assert not [name for name in names if name.startswith("loftbook")]


def test_the_newest_step_is_the_one_the_code_names():
    assert STEPS[-1].stem[1:5] == upgrading.NEWEST


@pytest.mark.of_a_file
def test_the_indexes_carry_the_questions_that_pages_ask(book):
    """SQLite's own plan must search each big table by an index, never scan it."""
    asked = {
        "a camp's turns": "SELECT * FROM attempt WHERE camp = 'c'",
        "a gymnast's turns": "SELECT * FROM attempt WHERE athlete = 'a'",
        "what replaced a turn": "SELECT * FROM attempt WHERE replaces = 'x'",
        "a withdrawal": "SELECT * FROM withdrawal WHERE attempt = 'x'",
        "a camp's standings": "SELECT * FROM standing WHERE camp = 'c'",
        "a gymnast's standings": "SELECT * FROM standing WHERE athlete IN ('a', 'b')",
        "who was there": "SELECT * FROM visit WHERE camp = 'c'",
        "a gymnast's camps": "SELECT * FROM camp_athlete WHERE athlete = 'a'",
        "her names": "SELECT * FROM athlete_name WHERE athlete IN ('a', 'b')",
    }
    with book.read() as connection:
        for what, query in asked.items():
            plan = [row[3] for row in connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {query}")]
            assert all(line.startswith("SEARCH") for line in plan), (what, plan)
