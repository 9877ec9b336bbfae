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


@pytest.fixture(scope="session")
def new_database(postgresql_server: str) -> Callable[[], str]:
    """Makes an empty database and gives its address."""
    numbers = itertools.count(1)

    def made() -> str:
        name = f"volplane_{next(numbers)}"
        with psycopg.connect(f"{postgresql_server}/postgres", autocommit=True) as connection:
            connection.execute(f'CREATE DATABASE "{name}"')
        return f"{postgresql_server}/{name}"

    return made
