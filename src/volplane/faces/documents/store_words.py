"""What the store refuses, in words: what was found, what was expected, what to do."""

from __future__ import annotations

from collections.abc import Callable

from volplane.services.keeping import (
    AdoptionNeedsReason,
    ChangedMeanwhile,
    NothingLearned,
    NotKeepable,
    NotKept,
    StoreFault,
    StoreUnusable,
)

Words = tuple[str, str, str]

_FAULTS: dict[StoreFault, Words] = {
    StoreFault.MISSING: (
        "no store at {place}",
        "one that is there",
        "It is made when the first lesson is kept; or name another with --database.",
    ),
    StoreFault.BUSY: (
        "the store {place} held by another program",
        "its turn within 15 s",
        "Nothing was changed; try again, and if it stays so, end the program that holds it.",
    ),
    StoreFault.FULL: (
        "no room for the store {place}{said}",
        "room on its disk",
        "Nothing was changed; free some room and try again.",
    ),
    StoreFault.READ_ONLY: (
        "the store {place}, which may not be written{said}",
        "a file and a folder that may be written",
        "Nothing was changed; check who may write there, or name another with --database.",
    ),
    StoreFault.DAMAGED: (
        "damage in the store {place}{said}",
        "a sound one",
        "Bring the newest backup back with volplane restore; keep the damaged file until that is done.",
    ),
    StoreFault.NOT_A_STORE: (
        "{place}, which is no store of Volplane",
        "a store, or a name that is free",
        "It was left as it is; name another with --database.",
    ),
    StoreFault.TOO_NEW: (
        "the store {place} of a newer Volplane",
        "one that this Volplane knows",
        "It was left as it is; update Volplane.",
    ),
    StoreFault.FOLDER: (
        "no place for the store at {place}{said}",
        "a folder that is there and may be written",
        "Check the folder, or name another with --database.",
    ),
    StoreFault.UNREACHABLE: (
        "no use of the database {place}{said}",
        "a PostgreSQL server that answers and lets this user in",
        "See that it runs, and check address, name and password.",
    ),
    StoreFault.NO_DRIVER: (
        "no library that speaks to {place}",
        "psycopg",
        'Install it: pip install "volplane[postgresql]".',
    ),
    StoreFault.ADDRESS: (
        "{place} as the store",
        "the name of a file, sqlite:///FILE or postgresql://USER@HOST/NAME",
        "Check the address.",
    ),
}


def unusable(refusal: StoreUnusable) -> Words:
    """A store that cannot be read or written."""
    found, expected, remedy = _FAULTS[refusal.fault]
    said = f" ({refusal.said})" if refusal.said else ""
    return found.format(place=refusal.place, said=said), expected, remedy


def not_kept(refusal: NotKept) -> Words:
    """Something that is not in the store."""
    return f'no {_name(refusal.kind)} "{refusal.key}" in the store', "one that is kept", "Look at the list again."


def changed_meanwhile(refusal: ChangedMeanwhile) -> Words:
    """Two people at the same record."""
    found = f"a change by somebody else of the same {_name(refusal.kind)}"
    return found, "", "Nothing was changed; look at it as it is now, and do it again."


def not_keepable(refusal: NotKeepable) -> Words:
    """A letter or number that no database takes."""
    found = f"something in {_name(refusal.field)} of this {_name(refusal.kind)} that cannot be kept"
    return found, "text without control letters, and numbers", "Type it anew."


def nothing_learned(refusal: NothingLearned) -> Words:
    """No flight behind a glide that was to be adopted."""
    found = f"nothing learned about {refusal.airplane}"
    return found, "a flight with speed, power and configuration recorded", "See at each flight why it teaches nothing."


def no_reason(refusal: AdoptionNeedsReason) -> Words:
    """A glide adopted without a word."""
    return "no reason", "why this glide is to count from now on", "Write it in a sentence; it is kept with the glide."


def _name(kind: str) -> str:
    return kind.replace("_", " ")


WORDS: dict[str, Callable[..., Words]] = {
    StoreUnusable.code: unusable,
    NotKept.code: not_kept,
    ChangedMeanwhile.code: changed_meanwhile,
    NotKeepable.code: not_keepable,
    NothingLearned.code: nothing_learned,
    AdoptionNeedsReason.code: no_reason,
}
