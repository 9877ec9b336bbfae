"""Reading a table by its keys: every fault becomes a problem, and reading goes on so that all of them are found.

A required number that is missing or wrong is filed and comes back as NaN: later comparisons with it stay silent.
"""

from __future__ import annotations

import difflib
import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from volplane.adapters.toml.keys import Form, Key, Section, section
from volplane.adapters.toml.source import NamedText, line_numbers, line_of
from volplane.errors import Problem
from volplane.services.quantities import (
    Kind,
    QuantityNotUnderstood,
    described,
    quoted,
    read_quantity,
    write_quantity,
)

# one file can hold thousands of faults; nobody reads more than this
MOST_PROBLEMS = 50


@dataclass(slots=True)
class Findings:
    """The problems of one file as they are found, each with its line."""

    source: NamedText
    problems: list[Problem] = field(default_factory=list)
    _lines: dict[str, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._lines = line_numbers(self.source.text)

    def add(self, place: str, found: str, expected: str, remedy: str, code: str) -> None:
        """File a problem at a key, once."""
        line = line_of(place, self._lines)
        where = f"{place} (line {line})" if line is not None else place
        problem = Problem(self.source.name, where, found, expected, remedy, code)
        if problem not in self.problems and len(self.problems) < MOST_PROBLEMS:
            self.problems.append(problem)

    @property
    def any(self) -> bool:
        """Whether there are problems."""
        return bool(self.problems)


@dataclass(frozen=True, slots=True)
class Table:
    """One table of a file, its keys as data, and where its problems go.

    `path` is how the table is called in messages; `section` says which keys it may hold. Unknown keys are filed as soon
    as the table is opened.
    """

    data: dict[str, Any]
    section: Section
    path: str
    sections: tuple[Section, ...]
    findings: Findings
    stated: set[str]

    def __post_init__(self) -> None:
        known = self.section.names()
        for name in self.data:
            if name not in known:
                self._unknown(name, known)
            else:
                self.stated.add(self.place(name))

    @classmethod
    def top(cls, data: dict[str, Any], sections: tuple[Section, ...], findings: Findings) -> Table:
        """The file's own level."""
        return cls(data, sections[0], "", sections, findings, set())

    def place(self, name: str) -> str:
        """How a key of this table is called in messages."""
        return f"{self.path}.{name}" if self.path else name

    def has(self, name: str) -> bool:
        """Whether the key is given."""
        return name in self.data

    def quantity(self, name: str) -> float:  # the unit is that of the key's kind
        """A quantity in SI: as given, else the default; NaN when there is neither or it is wrong."""
        key = self.section.key(name)
        typed = self.data.get(name, key.default)
        if typed is None:
            if key.is_required:
                self.missing(name)
            return math.nan
        assert isinstance(key.form, Kind)
        try:
            value = read_quantity(typed, key.form)
        except QuantityNotUnderstood as refusal:
            self.add(name, refusal.found, refusal.expected, refusal.remedy, f"quantity-{refusal.cause}")
            return math.nan
        return value if self._is_accepted(key, value, key.form) else math.nan

    def quantity_or_none(self, name: str) -> float | None:
        """A quantity in SI; None when it is not given (or wrong, which is filed)."""
        value = self.quantity(name)
        return None if math.isnan(value) else value

    def number(self, name: str, least: float, greatest: float) -> float:
        """A plain number between bounds; NaN when it is not given or wrong."""
        if name not in self.data:
            if self.section.key(name).is_required:
                self.missing(name)
            return math.nan
        value = self.data[name]
        expected = f"a plain number from {least:g} to {greatest:g}"
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            self.add(name, described(value), expected, "Write it without quotes and unit.", "not-a-number")
            return math.nan
        if not least <= value <= greatest:
            self.add(name, described(value), expected, "Check the figure.", "out-of-range")
            return math.nan
        return float(value)

    def text(self, name: str) -> str:
        """A text, one of the choices where there are some; empty when it is not given or wrong."""
        key = self.section.key(name)
        if name not in self.data:
            if key.is_required:
                self.missing(name)
            return key.default or ""
        value = self.data[name]
        if not isinstance(value, str):
            remedy = f'Write it in quotes: "{value}".' if isinstance(value, int) else "Write it in quotes."
            self.add(name, described(value), "a text in quotes", remedy, "not-a-text")
            return ""
        text = " ".join(value.split())
        if not text:
            self.add(name, "an empty text", f"{key.meaning}", "Write it or take the key out.", "empty")
            return ""
        if not key.choices:
            return text
        return text.lower() if self._is_choice(key, text) else ""

    def texts(self, name: str) -> tuple[str, ...]:
        """A list of texts; empty when it is not given or wrong."""
        value = self.data.get(name, [])
        if not isinstance(value, list) or not all(isinstance(each, str) for each in value):
            remedy = 'Write them in quotes between square brackets: ["...", "..."].'
            self.add(name, described(value), "a list of texts", remedy, "not-a-list")
            return ()
        return tuple(" ".join(each.split()) for each in value if each.strip())

    def child(self, name: str) -> Table:
        """The table under a key; an empty one when it is not given or wrong."""
        # a missing table is not filed: what is required in it will be
        value = self.data.get(name, {})
        if not isinstance(value, dict):
            self.add(
                name, described(value), "a table", f"Write [{self.place(name)}] and its keys below.", "not-a-table"
            )
        return self._open(value if isinstance(value, dict) else {}, name, self.place(name))

    def children(self, name: str) -> tuple[Table, ...]:
        """The tables of a list; empty when it is not given or wrong."""
        value = self.data.get(name, [])
        if name not in self.data and self.section.key(name).is_required:
            self.missing(name)
        if not isinstance(value, list) or not all(isinstance(each, dict) for each in value):
            remedy = f"Write [[{self.place(name)}]] and its keys below, once for each."
            self.add(name, described(value), "a list of tables", remedy, "not-a-list")
            return ()
        return tuple(
            self._open(each, name, f"{self.place(name)}[{number}]") for number, each in enumerate(value, start=1)
        )

    def add(self, name: str, found: str, expected: str, remedy: str, code: str) -> None:
        """File a problem at a key of this table."""
        self.findings.add(self.place(name), found, expected, remedy, code)

    def missing(self, name: str) -> None:
        """File that a required key is not there."""
        key = self.section.key(name)
        if key.form is Form.TABLES:
            self.add(name, "nothing", key.meaning, f"Write [[{self.place(name)}]] and its keys below.", "key-missing")
            return
        where = f" under [{self.path}]" if self.path and "[" not in self.path else ""
        expected = f"the required key {name} ({key.meaning})"
        self.add(name, "nothing", expected, f"Write {name} = {key.sample}{where}.", "key-missing")

    def typed(self, name: str) -> str:
        """What stands at a key, for a message: as typed, or the default and that it is one."""
        if name in self.data:
            return described(self.data[name])
        return f'"{self.section.key(name).default}" (the default)'

    def _open(self, data: dict[str, Any], name: str, path: str) -> Table:
        inner = section(self.sections, f"{self.section.name}.{name}" if self.section.name else name)
        return Table(data, inner, path, self.sections, self.findings, self.stated)

    def _unknown(self, name: str, known: Sequence[str]) -> None:
        near = difflib.get_close_matches(name, known, n=1, cutoff=0.6)
        home = _home_of(name, self.sections, self.section)
        expected = f"a key of {f'[{self.path}]' if self.path else 'this file'}"
        if near:
            remedy = f'Did you mean "{near[0]}"?'
        elif home:
            remedy = f"Move it to {home}."
        else:
            expected, remedy = f"one of {', '.join(known)}", "Take it out, or check its spelling."
        self.add(name, f"the unknown key {quoted(name)}", expected, remedy, "key-unknown")

    def _is_choice(self, key: Key, text: str) -> bool:
        if text.lower() in key.choices:
            return True
        near = difflib.get_close_matches(text.lower(), key.choices, n=1, cutoff=0.6)
        choices = " or ".join(f'"{choice}"' for choice in key.choices)
        remedy = f'Write "{near[0] if near else key.choices[0]}".'
        self.add(key.name, quoted(text), choices, remedy, "not-a-choice")
        return False

    def _is_accepted(self, key: Key, value_si: float, kind: Kind) -> bool:
        def is_beyond(bound: str, sign: float) -> bool:
            """Whether the value lies beyond a bound by more than rounding of the units can do."""
            bound_si = read_quantity(bound, kind)
            return sign * (value_si - bound_si) > 1e-9 * abs(bound_si)

        broken = ""
        if key.more_than is not None and not value_si > read_quantity(key.more_than, kind):
            broken = f"more than {self._like(key.name, key.more_than, kind)}"
        elif key.at_least is not None and is_beyond(key.at_least, -1.0):
            broken = f"{self._like(key.name, key.at_least, kind)} or more"
        elif key.at_most is not None and is_beyond(key.at_most, 1.0):
            broken = f"{self._like(key.name, key.at_most, kind)} or less"
        if broken:
            self.add(
                key.name,
                described(self.data.get(key.name, "")),
                broken,
                "Check the figure and its unit.",
                "out-of-range",
            )
        return not broken

    def _like(self, name: str, bound: str, kind: Kind) -> str:
        """A bound in the unit the user typed, so that both sides can be compared at a glance."""
        typed = str(self.data.get(name, ""))
        unit = kind.unit(typed.lstrip("+-\u22120123456789., \u00a0"))
        return write_quantity(read_quantity(bound, kind), kind, unit.name) if unit else bound


def _home_of(name: str, sections: tuple[Section, ...], own: Section) -> str:
    """The table in which a key that stands in the wrong one belongs, if only one has it."""
    homes = [each for each in sections if each is not own and name in each.names()]
    if len(homes) != 1:
        return ""
    if not homes[0].name:
        return "the top of the file, above the first table"
    return f"[[{homes[0].name}]]" if homes[0].is_list else f"[{homes[0].name}]"
