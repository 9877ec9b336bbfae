"""Readings written on a kneeboard, row by row, as what a debrief without a recorder is made of."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from volplane.domain.debrief.kneeboard import GateNoted, KneeboardNotes
from volplane.domain.exercise.exercise import GateName
from volplane.errors import Problem
from volplane.services.recordings import Recording

FORMAT = "kneeboard table"
_TOUCHDOWN = "touchdown"
_WORDS = {name.value: name for name in GateName}


@dataclass(frozen=True, slots=True)
class KneeboardRow:
    """One row as it was typed: its line, the word in the gate column, SI values by title."""

    line_number: int
    gate: str
    si: Mapping[str, float]


def recording_of_rows(name: str, data: bytes, rows: Sequence[KneeboardRow], faults: tuple[Problem, ...]) -> Recording:
    """The rows as a recording without a track; `faults` are those of cells that could not be read."""
    sha256 = hashlib.sha256(data).hexdigest()
    problems = [*faults]
    gates: dict[GateName, GateNoted] = {}
    touchdown_x_m = None
    for row in rows:
        word = " ".join(row.gate.lower().replace("_", " ").replace("-", " ").split())
        if word == _TOUCHDOWN:
            touchdown_x_m = row.si.get("x_ft", row.si.get("altimeter_ft"))
        elif word not in _WORDS:
            problems.append(_unknown(name, row))
        elif _WORDS[word] in gates:
            remedy = "Write each gate once."
            problems.append(Problem(name, _place(row), f"{word} twice", "each gate once", remedy, "gate-twice"))
        elif "altimeter_ft" not in row.si:
            remedy = "Fill it in, or take the line out."
            problems.append(Problem(name, _place(row), "no reading", "the altimeter there", remedy, "cell-empty"))
        else:
            gates[_WORDS[word]] = GateNoted(_WORDS[word], row.si["altimeter_ft"], row.si.get("time_s"))
    if problems or not gates:
        return Recording(None, FORMAT, sha256, tuple(problems) or (_empty(name),))
    return Recording(None, FORMAT, sha256, (_no_recorder(name),), KneeboardNotes(tuple(gates.values()), touchdown_x_m))


def _place(row: KneeboardRow) -> str:
    return f"line {row.line_number}, gate"


def _unknown(name: str, row: KneeboardRow) -> Problem:
    shown = "".join(letter if letter.isprintable() else "?" for letter in row.gate[:30])
    expected = f"{', '.join(_WORDS)} or {_TOUCHDOWN}"
    return Problem(name, _place(row), f'"{shown}"', expected, "Write the name of the gate.", "gate-unknown")


def _empty(name: str) -> Problem:
    return Problem(name, "", "no reading", "the altimeter at a gate", "Add a line for each gate.", "table-empty")


def _no_recorder(name: str) -> Problem:
    remedy = "The path between the gates is taken as planned."
    return Problem(name, "", "readings written down", "a recording for more than heights", remedy, "no-recorder")
