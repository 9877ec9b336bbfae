"""Every test that takes `store` runs on both databases."""

from __future__ import annotations

import pathlib
from collections.abc import Callable, Iterator

import pytest

from volplane.adapters.store.store import SqlStore, open_store

DATABASES = ("sqlite", "postgresql")


@pytest.fixture
def database_address(request: pytest.FixtureRequest, tmp_path: pathlib.Path) -> Callable[[str], str]:
    """Makes the address of an empty database of a kind."""

    def made(kind: str) -> str:
        if kind == "sqlite":
            return str(tmp_path / "volplane.sqlite")
        new_database: Callable[[], str] = request.getfixturevalue("new_database")
        return new_database()

    return made


@pytest.fixture(params=DATABASES)
def address(request: pytest.FixtureRequest, database_address: Callable[[str], str]) -> str:
    """The address of an empty database."""
    return database_address(request.param)


@pytest.fixture
def store(address: str) -> Iterator[SqlStore]:
    """An empty store."""
    opened = open_store(address)
    yield opened
    opened.close()
