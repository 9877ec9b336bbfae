"""The documents of the store: `volplane/store/1` (looked through, copied, brought back) and `volplane/people/1`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from volplane.faces.documents import wording
from volplane.faces.documents.quantities import utc
from volplane.services import kept
from volplane.services.forgetting import Belongings
from volplane.services.kept import Person
from volplane.services.safekeeping import CheckedStore, FoundFault, Restored, StoreFinding, WrittenOut

SCHEMA = "volplane/store/1"
PEOPLE_SCHEMA = "volplane/people/1"

# what a kind of record is called, one and several
_NAMES = {
    "person": ("person", "people"),
    "instructor_file": ("file", "files"),
    "file_text": ("state of a file", "states of files"),
    "plan": ("plan", "plans"),
    "card": ("printed card", "printed cards"),
    "recording": ("recording", "recordings"),
    "lesson": ("lesson", "lessons"),
    "debrief": ("debrief", "debriefs"),
    "attempt": ("exercise flown", "exercises flown"),
    "note": ("note", "notes"),
    "adoption": ("adopted glide", "adopted glides"),
}
_FAULTS = {
    StoreFinding.INTEGRITY: "the database's own check says: {said}",
    StoreFinding.ORIGINAL_MISSING: "recording {key} is listed and its bytes are not there",
    StoreFinding.ORIGINAL_CHANGED: "recording {key} is not byte for byte what was sent",
    StoreFinding.DANGLING: "{kind} {key} points at a {said} that is not there",
    StoreFinding.VALUE: "{kind} {key} holds no sensible {said}",
    StoreFinding.DOCUMENT: "{kind} {key} holds a {said} that cannot be read",
    StoreFinding.RECOMPUTED_OTHERWISE: "debrief {key}, made again by the same version, says something else",
    StoreFinding.NOT_RECOMPUTABLE: "debrief {key} cannot be made again: {said}",
}


def fault_sentence(fault: FoundFault) -> str:
    """A fault of a store as one sentence."""
    kind = fault.kind.replace("_", " ")
    said = _FAULTS[fault.finding].format(kind=kind, key=fault.key, said=fault.said.replace("_", " "))
    return f"{wording.sentence_case(said)}."


def checked_document(checked: CheckedStore) -> dict[str, Any]:
    """A store that was looked through."""
    return {
        **_document("check", checked.place, checked.counts),
        "store_schema": checked.schema,
        "sound": checked.is_sound,
        "faults": [
            {
                "code": fault.finding.value.replace(" ", "-"),
                "kind": fault.kind,
                "key": fault.key or None,
                "text": fault_sentence(fault),
            }
            for fault in checked.faults
        ],
        "debriefs_recomputed": checked.debriefs_recomputed,
        "debriefs_of_other_versions": checked.made_by_other_version,
    }


def written_document(action: str, written: WrittenOut) -> dict[str, Any]:
    """A backup ("backup") or an export ("export")."""
    return {**_document(action, written.place, written.counts), "path": written.path}


def restored_document(restored: Restored) -> dict[str, Any]:
    """What came back, and where that which was there is kept."""
    return {
        **_document("restore", restored.place, restored.counts),
        "path": restored.path,
        "kept_aside": restored.aside,
    }


def people_document(
    people: Sequence[Person],
    flown: Mapping[str, int],
    retention_days: int | None,
    expired: int,
    gone: Belongings | None,
    progress: dict[str, Any] | None = None,
) -> dict[str, Any]:
    """Everybody in the store with their debriefs, how long lessons are kept, what was forgotten; notes stay private."""
    return {
        "schema": PEOPLE_SCHEMA,
        "people": [
            {
                "key": each.key,
                "name": each.name,
                "initials": each.initials or None,
                "role": each.role.value,
                "added_utc": utc(each.added_unix_s),
                "debriefs": flown.get(each.key, 0),
            }
            for each in people
        ],
        "progress": progress,
        "retention_days": retention_days,
        "expired_records": expired,
        "forgotten": None if gone is None else _records(_counted(gone)),
    }


def people_text(people: Sequence[Person], flown: Mapping[str, int], retention_days: int | None, expired: int) -> str:
    """The same for a reader at the terminal."""
    lines = [
        f"{each.name}{f' ({each.initials})' if each.initials else ''}: {each.role.value}, "
        f"{wording.counted(flown.get(each.key, 0), 'debrief')}"
        for each in people
    ]
    if retention_days is None:
        lines.append("Lessons are kept for ever.")
    else:
        old = f"; {wording.counted(expired, 'record')} older than that" if expired else ""
        lines.append(f"Lessons are kept for {wording.counted(retention_days, 'day')}{old}.")
    return "\n".join(lines if people else ["Nobody is kept yet.", *lines])


def forgotten_text(gone: Belongings) -> str:
    """What was forgotten, in a line."""
    return f"Forgotten for good: {belongings_text(gone)}." if gone.goes else "There was nothing to forget."


def belongings_text(gone: Belongings) -> str:
    """What goes or would go, in a line."""
    return counts_text(_counted(gone))


def _counted(gone: Belongings) -> dict[str, int]:
    names = {
        kept.Person: "person",
        kept.InstructorFile: "instructor_file",
        kept.FileText: "file_text",
        kept.KeptPlan: "plan",
        kept.PrintedCard: "card",
        kept.KeptRecording: "recording",
        kept.Lesson: "lesson",
        kept.KeptDebrief: "debrief",
        kept.KeptAttempt: "attempt",
        kept.Note: "note",
    }
    return {name: sum(isinstance(each, kind) for each in gone.goes) for kind, name in names.items()}


def counts_text(counts: Mapping[str, int]) -> str:
    """What is in a store in a line: "2 people, 1 recording"."""
    said = [f"{counts[kind]:,} {names[counts[kind] != 1]}" for kind, names in _NAMES.items() if counts.get(kind)]
    return wording.listed(said) if said else "nothing yet"


def checked_text(checked: CheckedStore) -> str:
    """The check for a reader at the terminal, faults left to stderr."""
    state = "sound" if checked.is_sound else wording.counted(len(checked.faults), "fault")
    lines = [f"{checked.place}: {state}", f"  holds {counts_text(checked.counts)}"]
    if checked.debriefs_recomputed:
        made = wording.counted(checked.debriefs_recomputed, "debrief")
        others = checked.made_by_other_version
        lines.append(f"  {made} made again" + (f", {others} of them of another version" if others else ""))
    return "\n".join(lines)


def _document(action: str, place: str, counts: Mapping[str, int]) -> dict[str, Any]:
    return {"schema": SCHEMA, "action": action, "place": place, "records": _records(counts)}


def _records(counts: Mapping[str, int]) -> list[dict[str, Any]]:
    return [{"kind": kind, "count": count} for kind, count in counts.items()]
