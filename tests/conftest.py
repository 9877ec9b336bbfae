"""What tests of several folders share: a database server that is started once, when the first test asks for it."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator

import psycopg
import pytest

from tests.postgresql_server import running_server


@pytest.fixture(scope="session")
def postgresql_server() -> Iterator[str]:
    """The address of a running PostgreSQL server."""
    with running_server() as address:
        yield address


@pytest.fixture
def new_database(postgresql_server: str) -> Callable[[], str]:
    """Gives the address of an empty database; one of an earlier test is emptied, which is quicker than making one."""
    numbers = itertools.count(1)

    def made() -> str:
        name = f"volplane_{next(numbers)}"
        with psycopg.connect(f"{postgresql_server}/postgres", autocommit=True) as connection:
            if connection.execute("SELECT 1 FROM pg_database WHERE datname = %s", (name,)).fetchone() is None:
                connection.execute(f'CREATE DATABASE "{name}"')
            connection.execute("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = %s", (name,))
        with psycopg.connect(f"{postgresql_server}/{name}", autocommit=True) as connection:
            connection.execute("DROP SCHEMA public CASCADE")
            connection.execute("CREATE SCHEMA public")
        return f"{postgresql_server}/{name}"

    return made
