"""A standard of the instructor's own, from its TOML file."""

from __future__ import annotations

from volplane.adapters.toml.source import NamedText, parse
from volplane.adapters.toml.standard_keys import STANDARD
from volplane.adapters.toml.tables import Findings, Table
from volplane.domain.debrief.standards import ITEMS, Rule, Standard
from volplane.errors import FilesRefused, Problem
from volplane.services.quantities import (
    ANGLE,
    LENGTH,
    SPEED,
    VERTICAL_SPEED,
    Kind,
    QuantityNotUnderstood,
    read_quantity,
)

_KINDS: dict[str, Kind] = {"length_m": LENGTH, "speed_mps": SPEED, "sink_mps": VERTICAL_SPEED, "angle_rad": ANGLE}


def read_standard(text: str, file_name: str) -> tuple[Standard | None, tuple[Problem, ...]]:
    """A standard from its TOML text, or None and every problem found."""
    source = NamedText(file_name, text)
    try:
        data = parse(source)
    except FilesRefused as refused:
        return None, refused.problems
    findings = Findings(source)
    top = Table.top(data, STANDARD, findings)
    name, said_by, edition = top.text("name"), top.text("source"), top.text("edition")
    rules = tuple(_rule(table, said_by) for table in top.children("item"))
    if findings.any:
        return None, tuple(findings.problems)
    return Standard(name, said_by, edition, rules), ()


def _rule(table: Table, said_by: str) -> Rule:
    item = table.text("name")
    quantity = ITEMS.get(item, "count")
    low, high = _limit(table, "low", quantity), _limit(table, "high", quantity)
    if item and not table.has("low") and not table.has("high"):
        table.add("name", f'"{item}" without a limit', "a lower or an upper limit", "Write low or high.", "no-limit")
    if low is not None and high is not None and low > high:
        table.add("low", table.typed("low"), f"no more than {table.typed('high')}", "Check both.", "out-of-range")
    return Rule(item, low, high, quantity, said_by)


def _limit(table: Table, key: str, quantity: str) -> float | None:
    if not table.has(key):
        return None
    typed = table.text(key)
    if not typed:
        return None
    kind = _KINDS.get(quantity)
    if kind is None:
        return _count(table, key, typed)
    try:
        return read_quantity(typed, kind)
    except QuantityNotUnderstood as refusal:
        table.add(key, refusal.found, refusal.expected, refusal.remedy, f"quantity-{refusal.cause}")
        return None


def _count(table: Table, key: str, typed: str) -> float | None:
    try:
        return float(int(typed))
    except ValueError:
        table.add(key, f'"{typed}"', "a whole number", 'Write it in quotes: "3".', "not-a-number")
        return None
