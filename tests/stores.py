"""Stores for tests, and invented records of every kind to fill them with."""

from __future__ import annotations

import dataclasses
import functools
import hashlib
import pathlib
import tempfile

from volplane.adapters.store.copies import back_up
from volplane.adapters.store.store import SqlStore, open_store
from volplane.services import kept

KINDS = tuple(
    each
    for each in vars(kept).values()
    if isinstance(each, type) and issubclass(each, kept.Record) and each is not kept.Record
)
DAY_S = 86_400.0
MORNING_UNIX_S = 1_778_760_000.25
# whatever a recorder or an editor may write: a byte of every kind, both ends of line, letters of two alphabets
ORIGINAL = bytes(range(256)) * 40
AIRPLANE_TEXT = 'name = "Dunlin Tourer"\r\n# Höhe nach Väterart – ß\n[glide]\nratio = 9.6\n'


def file_store(folder: pathlib.Path) -> SqlStore:
    """A store in a file of that folder; a new one is a copy of an empty one, which is quicker than migrating it."""
    file = folder / "volplane.sqlite"
    if not file.exists():
        file.write_bytes(_empty_store())
    return open_store(str(file))


@functools.cache
def _empty_store() -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        store = open_store(f"{folder}/volplane.sqlite")
        copy = pathlib.Path(folder, "copy.sqlite")
        back_up(store.engine, copy)
        store.close()
        return copy.read_bytes()


def records_of_every_kind() -> list[kept.Record]:
    """Two people, one of them taught once by the other, and everything that can hang on a lesson."""
    sha = hashlib.sha256(ORIGINAL).hexdigest()
    return [
        kept.Person("mara", "Mara Quist", kept.Role.TRAINEE, MORNING_UNIX_S, "MQ", "looks inside too long"),
        kept.Person("tobias", "Tobias Lund", kept.Role.INSTRUCTOR, MORNING_UNIX_S, "TL"),
        kept.InstructorFile("airplane", kept.FileKind.AIRPLANE, "dunlin_tourer.toml"),
        kept.InstructorFile("airfield", kept.FileKind.AIRFIELD, "quill_meadow.toml"),
        kept.InstructorFile("exercise", kept.FileKind.EXERCISE, "mara's first.toml"),
        kept.FileText("airplane-1", "airplane", 1, AIRPLANE_TEXT, MORNING_UNIX_S),
        kept.FileText("airplane-2", "airplane", 2, AIRPLANE_TEXT.replace("9.6", "9.4"), MORNING_UNIX_S + DAY_S),
        kept.FileText("airfield-1", "airfield", 1, 'name = "Quill Meadow"\n', MORNING_UNIX_S),
        kept.FileText("exercise-1", "exercise", 1, 'runway = "25"\n', MORNING_UNIX_S),
        kept.KeptPlan(
            "plan", "exercise-1", "airplane-1", "airfield-1", '{"schema": "volplane/plan/1"}', "0.1.0", 1.5, "mara"
        ),
        kept.PrintedCard("card", "plan", "card", "A5", '["gust-spread"]', "gusts die down by ten", MORNING_UNIX_S),
        kept.KeptRecording(sha, "phone 14-05.gpx", "GPX", len(ORIGINAL), MORNING_UNIX_S, 0.1, 600.1),
        kept.Lesson("lesson", "mara", MORNING_UNIX_S, '{"remarks": "öä"}', "tobias", "airplane", "airfield", 3600.0),
        kept.KeptDebrief(
            "debrief",
            sha,
            "exercise-1",
            "airplane-1",
            "airfield-1",
            "{}",
            '{"schema": "volplane/debrief/1"}',
            "0.1.0",
            MORNING_UNIX_S,
            "mara",
            "tobias",
            "lesson",
        ),
        kept.KeptAttempt(
            "attempt",
            "debrief",
            1,
            MORNING_UNIX_S,
            MORNING_UNIX_S + 190.0,
            "25",
            "left",
            "landed",
            "made it",
            0.1 + 0.2,
            31.0,
            touchdown_x_m=-12.0,
            headwind_mps=4.0,
        ),
        kept.KeptGate("gate", "attempt", "low key", 460.0, 6.0, 457.2, 400.0, 520.0),
        kept.KeptStandardItem("item", "attempt", 1, "touchdown", "length_m", "ours", 0.0, 61.0, -12.0, False),
        kept.Note("note", "debrief", "late turn to base", MORNING_UNIX_S, True, 71.5, "tobias"),
        kept.TeachingFlight("teaching", "airplane", sha, 1519.5, '[{"configuration": "clean"}]', MORNING_UNIX_S),
        kept.Adoption(
            "adoption",
            "airplane",
            "airplane-2",
            "airplane-1",
            56.1,
            1.2,
            9.4,
            0.3,
            6,
            24,
            "six mornings",
            "0.1.0",
            MORNING_UNIX_S,
        ),
        kept.SetAside("f" * 64, "notes.docx", '{"schema": "volplane/problems/1"}', 2, MORNING_UNIX_S),
        kept.Setting("retention_days", "730"),
    ]


def fill(store: SqlStore) -> tuple[kept.Record, ...]:
    """Keep a record of every kind; they are given back as kept."""
    return store.change(records_of_every_kind(), originals=[ORIGINAL])


def everything(store: SqlStore) -> dict[type[kept.Record], tuple[kept.Record, ...]]:
    """All records of a store by kind, and that their recordings are there byte for byte."""
    with store.snapshot() as reader:
        found = {kind: reader.find(kind) for kind in KINDS}
        for recording in found[kept.KeptRecording]:
            assert hashlib.sha256(reader.original(recording.key)).hexdigest() == recording.key
    return found


def as_first_kept(record: kept.Record) -> kept.Record:
    """A record as it is after it was kept once."""
    names = {each.name for each in dataclasses.fields(record)}
    return dataclasses.replace(record, version=1) if "version" in names else record  # type: ignore[call-arg]
