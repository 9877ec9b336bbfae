"""Writes a database of today's schema, filled with a record of every kind, as SQL: what is kept of a released schema.

    python -m tests.adapters.store.releasing

Run once when a schema is released, for both databases; the files are never written again.
"""

from __future__ import annotations

import contextlib
import pathlib
import sqlite3
import subprocess
import tempfile

import psycopg

from tests.postgresql_server import programs, running_server
from tests.stores import fill
from volplane.adapters.store.inspecting import inspected
from volplane.adapters.store.store import open_store

RELEASED = pathlib.Path(__file__).with_name("released")


def main() -> None:
    """Write both files."""
    with tempfile.TemporaryDirectory() as folder:
        store = open_store(f"{folder}/volplane.sqlite")
        fill(store)
        schema = inspected(store.engine).schema
        with contextlib.closing(sqlite3.connect(f"{folder}/volplane.sqlite")) as connection:
            lines = "\n".join(connection.iterdump()) + "\n"
        (RELEASED / f"{schema}-sqlite.sql").write_text(lines, encoding="utf-8", newline="")
    with running_server() as address:
        with psycopg.connect(f"{address}/postgres", autocommit=True) as connection:
            connection.execute("CREATE DATABASE released")
        store = open_store(f"{address}/released")
        fill(store)
        command = [str(programs() / "pg_dump"), "--inserts", "--no-owner", "--no-privileges", f"{address}/released"]
        dumped = subprocess.run(command, capture_output=True, check=True).stdout.decode()
        store.close()
        # lines that only the server's own terminal program understands
        lines = "".join(line for line in dumped.splitlines(keepends=True) if not line.startswith(("\\", "--", "SET ")))
        (RELEASED / f"{schema}-postgresql.sql").write_text(lines, encoding="utf-8", newline="")


if __name__ == "__main__":
    main()
