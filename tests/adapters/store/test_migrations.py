"""Every released schema leads to today's on both databases, with all that was kept in it."""

from __future__ import annotations

import pathlib
import sqlite3
from collections.abc import Callable

import psycopg
import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory

from tests.adapters.store.conftest import DATABASES
from tests.adapters.store.killing import next_migrations
from tests.adapters.store.releasing import RELEASED
from tests.stores import as_first_kept, everything, fill, records_of_every_kind
from volplane.adapters.store import engine as door
from volplane.adapters.store.inspecting import inspected
from volplane.adapters.store.migrating import bring_up_to_date, revision_of, settings_of
from volplane.adapters.store.store import SqlStore, open_store
from volplane.adapters.store.tables import METADATA
from volplane.services import kept
from volplane.services.keeping import StoreFault, StoreUnusable

SCHEMAS = sorted(each.revision for each in ScriptDirectory.from_config(settings_of()).walk_revisions())


def load(address: str, schema: str, kind: str) -> None:
    """Make a database from what is kept of a released schema."""
    text = (RELEASED / f"{schema}-{kind}.sql").read_bytes().decode()
    if kind == "sqlite":
        connection = sqlite3.connect(address)
        connection.executescript(text)
        connection.close()
    else:
        with psycopg.connect(address) as connection:
            connection.execute(text.encode())


def test_both_databases_of_every_schema_are_kept() -> None:
    assert [f"{number:04}" for number in range(1, len(SCHEMAS) + 1)] == SCHEMAS
    assert sorted(each.name for each in RELEASED.glob("*.sql")) == sorted(
        f"{schema}-{kind}.sql" for schema in SCHEMAS for kind in DATABASES
    )


@pytest.mark.parametrize("kind", DATABASES)
@pytest.mark.parametrize("schema", SCHEMAS)
def test_a_released_database_opens_with_everything_in_it(
    schema: str, kind: str, database_address: Callable[[str], str]
) -> None:
    address = database_address(kind)
    load(address, schema, kind)
    store = open_store(address)
    found = everything(store)
    assert {each for kinds in found.values() for each in kinds} == {
        as_first_kept(each) for each in records_of_every_kind()
    }
    assert inspected(store.engine).is_sound
    assert inspected(store.engine).schema == SCHEMAS[-1]
    store.change([kept.Setting("after", "1")])
    store.close()


def test_the_migrations_make_the_tables_that_the_program_uses(store: SqlStore) -> None:
    with door.reading(store.engine) as connection:
        assert compare_metadata(MigrationContext.configure(connection), METADATA) == []


def test_a_migration_that_adds_renames_and_writes_anew_keeps_everything(
    store: SqlStore, tmp_path: pathlib.Path
) -> None:
    fill(store)
    bring_up_to_date(store.engine, next_migrations(tmp_path))
    with door.reading(store.engine) as connection:
        assert revision_of(connection) == "0002"
        people = connection.exec_driver_sql("SELECT key, letters, weight_kg FROM person ORDER BY key").all()
        assert [tuple(each) for each in people] == [("mara", "MQ", 80.0), ("tobias", "TL", 80.0)]
        assert connection.exec_driver_sql("SELECT count(*) FROM attempt").scalar() == 1
    # what points at a person still has to point at one
    with pytest.raises(Exception, match=r"(?i)foreign key"), door.writing(store.engine) as connection:
        connection.exec_driver_sql("DELETE FROM person WHERE key = 'mara'")


BROKEN = """
from alembic import op

revision, down_revision, branch_labels, depends_on = "0002", "0001", None, None


def upgrade() -> None:
    op.execute("UPDATE person SET name = 'nobody'")
    op.execute("CREATE TABLE half (key TEXT)")
    op.execute({last!r})
"""


def test_a_migration_that_fails_leaves_the_old_schema(store: SqlStore, tmp_path: pathlib.Path) -> None:
    fill(store)
    before = everything(store)
    migrations = next_migrations(tmp_path)
    (migrations / "versions" / "0002_next.py").write_text(BROKEN.format(last="UPDATE nothing SET a = 1"))
    with pytest.raises(Exception, match="nothing"):
        bring_up_to_date(store.engine, migrations)
    assert everything(store) == before
    with door.reading(store.engine) as connection:
        assert revision_of(connection) == "0001"
    bring_up_to_date(store.engine)


def test_a_migration_after_which_something_points_nowhere_is_not_kept(tmp_path: pathlib.Path) -> None:
    store = open_store(str(tmp_path / "volplane.sqlite"))
    fill(store)
    before = everything(store)
    migrations = next_migrations(tmp_path)
    (migrations / "versions" / "0002_next.py").write_text(BROKEN.format(last="DELETE FROM lesson"))
    with pytest.raises(StoreUnusable, match="point at none") as told:
        bring_up_to_date(store.engine, migrations)
    assert told.value.fault is StoreFault.DAMAGED
    assert everything(store) == before
