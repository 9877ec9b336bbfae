"""Many recordings, a line each: `volplane/batch/1`, `volplane/import/1`, and what the terminal says of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from volplane.errors import Problem
from volplane.faces.documents import wording
from volplane.faces.documents.problems import problem_entry
from volplane.services.many_recordings import Result, Status

BATCH_SCHEMA = "volplane/batch/1"
IMPORT_SCHEMA = "volplane/import/1"

# what a status is called in the lines of each command
BATCH_STATUS = {
    Status.DONE: "debriefed",
    Status.DUPLICATE: "duplicate",
    Status.REFUSED: "refused",
    Status.SET_ASIDE: "set aside",
}
IMPORT_STATUS = {**BATCH_STATUS, Status.DONE: "kept", Status.KNOWN: "known"}
IMPORT_STATUS[Status.REFUSED] = IMPORT_STATUS[Status.SET_ASIDE]


def batch_entry(
    result: Result[Any], debrief: Mapping[str, Any] | None, made_of: str, code_version: str
) -> dict[str, Any]:
    """A recording of `volplane batch`; the debrief comes last, so that the rest is read at a glance."""
    return {
        "schema": BATCH_SCHEMA,
        **_entry(result, BATCH_STATUS),
        "made_of": made_of,
        "code_version": code_version,
        "problems": _problems(result.problems),
        "debrief": debrief,
    }


def import_entry(result: Result[Any], debrief_key: str | None) -> dict[str, Any]:
    """A recording of `volplane import`."""
    return {
        "schema": IMPORT_SCHEMA,
        **_entry(result, IMPORT_STATUS),
        "debrief": debrief_key,
        "problems": _problems(result.problems),
    }


def told(result: Result[Any], names: Mapping[Status, str], headlines: Sequence[str]) -> str:
    """What became of a recording, as one line."""
    if result.status is Status.DUPLICATE:
        return f"{result.path}: the same recording as {result.same_as}"
    if result.problems and result.status in (Status.REFUSED, Status.SET_ASIDE):
        sentences = " ".join(problem.sentence() for problem in result.problems)
        return f"{result.path}: {names[result.status]}. {sentences}"
    if result.status is Status.DONE:
        return f"{result.path}: {' '.join(headlines) or 'no exercise in it'}"
    return f"{result.path}: {names[result.status]}"


def counted(counts: Mapping[str, int], left: int = 0) -> str:
    """How many recordings met with what."""
    parts = [f"{count:,} {name}" for name, count in counts.items() if count]
    if left:
        parts.append(f"{left:,} done before")
    total = sum(counts.values()) + left
    return f"{wording.counted(total, 'recording')}: {', '.join(parts)}." if parts else "No recording."


def _entry(result: Result[Any], names: Mapping[Status, str]) -> dict[str, Any]:
    return {
        "path": result.path,
        "sha256": result.sha256,
        "status": names[result.status],
        "tries": result.tries,
        "same_as": result.same_as,
    }


def _problems(problems: Sequence[Problem]) -> list[dict[str, Any]]:
    return [problem_entry(problem) for problem in problems]
