"""Every key of the three files as data: what it means, its unit, its default, what is accepted.

The readers take their checks and defaults from here, and the page `docs/files.md` prints the same tables, so neither
can forget a key. Defaults and bounds are typed as a person would type them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from volplane.services.quantities import Kind


class Form(StrEnum):
    """What a key that is no quantity holds."""

    TEXT = "text"
    NUMBER = "number"
    COUNT = "whole number"
    TEXTS = "list of texts"
    POSITION = "latitude and longitude"
    WIND = "wind"
    DATE = "date"
    CLOCK = "time of day in UTC"
    TABLE = "table"
    TABLES = "list of tables"
    GATE_OR_HEIGHT = "gate or height"


@dataclass(frozen=True, slots=True)
class Key:
    """One key: its form, its meaning, its default as typed, the bounds of what is accepted, an example as typed.

    `default` is used when the key is missing; `otherwise` says in words what happens when there is no fixed default.
    """

    name: str
    form: Kind | Form
    meaning: str
    default: str | None = None
    otherwise: str = ""
    is_required: bool = False
    more_than: str | None = None
    at_least: str | None = None
    at_most: str | None = None
    choices: tuple[str, ...] = ()
    example: str = ""

    @property
    def form_name(self) -> str:
        """The form in words."""
        return self.form.name if isinstance(self.form, Kind) else self.form.value

    @property
    def sample(self) -> str:
        """A value that would be accepted, as typed into a file."""
        if self.example:
            return self.example
        if self.choices or self.default is not None:
            return f'"{self.choices[0] if self.choices else self.default}"'
        return f'"{self.form.example}"' if isinstance(self.form, Kind) else '"..."'


@dataclass(frozen=True, slots=True)
class Section:
    """One table of a file; an empty name is the file's own level, `is_list` means it may be given many times."""

    name: str
    meaning: str
    keys: tuple[Key, ...]
    is_list: bool = False

    def key(self, name: str) -> Key:
        """The key of that name; KeyError when the section has none."""
        return next(each for each in self.keys if each.name == name)

    def names(self) -> tuple[str, ...]:
        """The names of its keys."""
        return tuple(each.name for each in self.keys)


def section(sections: tuple[Section, ...], name: str) -> Section:
    """The section of that name; StopIteration is our own fault."""
    return next(each for each in sections if each.name == name)


def accepted(key: Key) -> str:
    """What is accepted, in words: bounds and choices; empty when anything of the form is."""
    parts: list[str] = []
    if key.choices:
        quoted = [f'"{choice}"' for choice in key.choices]
        parts.append(quoted[0] if len(quoted) == 1 else f"{', '.join(quoted[:-1])} or {quoted[-1]}")
    if key.more_than is not None:
        parts.append(f"more than {key.more_than}")
    if key.at_least is not None:
        parts.append(f"{key.at_least} or more")
    if key.at_most is not None:
        parts.append(f"{key.at_most} or less")
    return ", ".join(parts)


def table_rows(sections: Iterable[Section]) -> list[str]:
    """The Markdown rows of a file's keys, as the reference prints them: key, form, default, accepted, meaning."""
    rows: list[str] = []
    for each in sections:
        for key in each.keys:
            name = f"{each.name}.{key.name}" if each.name else key.name
            fixed = f'`"{key.default}"`' if key.default is not None else key.otherwise
            if key.default is not None and key.form in (Form.NUMBER, Form.COUNT):
                fixed = f"`{key.default}`"
            default = "**required**" if key.is_required else fixed
            rows.append(f"| `{name}` | {key.form_name} | {default} | {accepted(key)} | {key.meaning} |")
    return rows
