"""Leads a database of any released schema to today's, in one transaction, one program at a time."""

from __future__ import annotations

import pathlib

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from alembic.util.exc import CommandError
from sqlalchemy import Connection, Engine, inspect

from volplane.adapters.store import engine as door
from volplane.services.keeping import StoreFault, StoreUnusable

MIGRATIONS = pathlib.Path(__file__).with_name("migrations")
# any number that nobody else uses on that server: programs that migrate the same database wait for each other
_LOCK = 0x766F6C70


def bring_up_to_date(engine: Engine, migrations: pathlib.Path = MIGRATIONS) -> None:
    """Lead the database to the newest schema; one that is there already is only looked at.

    :raises StoreUnusable: it is not ours, or of a newer program.
    """
    if door.is_file(engine):
        _refuse_other_file(engine)
    settings = settings_of(migrations)
    newest = ScriptDirectory.from_config(settings).get_current_head()
    with door.reading(engine) as connection:
        if revision_of(connection) == newest:
            return
    with door.writing(engine, door.MIGRATING) as connection:
        if not door.is_file(engine):
            connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_LOCK})")
        _refuse_foreign(engine, connection)
        settings.attributes["connection"] = connection
        try:
            command.upgrade(settings, "head")
        except CommandError as fault:
            raise StoreUnusable(door.place_of(engine.url), StoreFault.TOO_NEW, str(fault)) from fault
        if door.is_file(engine) and connection.exec_driver_sql("PRAGMA foreign_key_check").first() is not None:
            raise StoreUnusable(door.place_of(engine.url), StoreFault.DAMAGED, "records point at none")


def settings_of(migrations: pathlib.Path = MIGRATIONS) -> Config:
    """The migrations of a folder, without a file of settings."""
    settings = Config()
    settings.set_main_option("script_location", str(migrations).replace("%", "%%"))
    # the folder's name may hold anything
    settings.set_main_option("path_separator", "newline")
    return settings


def revision_of(connection: Connection) -> str | None:
    """Which schema a database has, None for an empty one."""
    return MigrationContext.configure(connection).get_current_revision()


def _refuse_other_file(engine: Engine) -> None:
    """A short file of another kind would be taken for an empty database, and written over."""
    try:
        with door.file_of(engine).open("rb") as file:
            mark = file.read(len(door.FILE_MARK))
    except OSError:
        # not there yet, or not to be read: opening it says which
        return
    if mark and mark != door.FILE_MARK:
        raise StoreUnusable(door.place_of(engine.url), StoreFault.NOT_A_STORE)


def _refuse_foreign(engine: Engine, connection: Connection) -> None:
    """Somebody else's database is left alone."""
    if revision_of(connection) is None and inspect(connection).get_table_names():
        raise StoreUnusable(door.place_of(engine.url), StoreFault.NOT_A_STORE)
