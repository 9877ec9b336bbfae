"""Somebody new, and the instructor's own notes about somebody."""

from __future__ import annotations

from dataclasses import replace

from volplane.services.keeping import ChangedMeanwhile, Store
from volplane.services.kept import Person, Role


def add_person(store: Store, name: str, initials: str, role: Role, now_unix_s: float) -> Person | None:
    """Keep somebody new; None where somebody of that name is kept already."""
    if any(each.name.casefold() == name.casefold() for each in store.find(Person)):
        return None
    return store.change([Person(store.new_key(), name, role, now_unix_s, initials)])[0]


def change_notes(store: Store, key: str, notes: str, seen_version: int) -> Person:
    """Write the notes about somebody who was read as `seen_version`. :raises ChangedMeanwhile: somebody was faster."""
    person = store.get(Person, key)
    if person.version != seen_version:
        raise ChangedMeanwhile("person", key)
    return store.change([replace(person, notes=notes)])[0]
