"""The texts on an instructor's shelf, read as far as a list and a form need it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from volplane.adapters.toml.airfield import read_airfield
from volplane.adapters.toml.airplane import read_airplane
from volplane.adapters.toml.exercise import read_exercise
from volplane.adapters.toml.library import TomlLibrary
from volplane.adapters.toml.source import HeldTexts, NamedText, parse
from volplane.errors import FilesRefused, Problem
from volplane.services.kept import FileKind
from volplane.services.shelf import ExerciseNames


class TomlTextReading:
    """Reads by the same readers as the commands; see `volplane.services.shelf.TextReading`."""

    def __init__(self, library: TomlLibrary) -> None:
        self._library = library

    def names_in(self, exercise_text: str) -> ExerciseNames:
        """What an exercise is about."""
        data = _data(exercise_text)
        return ExerciseNames(*(_text(data.get(key)) for key in ("airplane", "airfield", "runway")))

    def title_of(self, text: str) -> str:
        """The name an airplane or airfield file gives."""
        return _text(_data(text).get("name")).strip()

    def problems_of(self, kind: FileKind, name: str, texts: Mapping[str, str]) -> tuple[Problem, ...]:
        """Every problem of the file `name`, in it and in the files it names."""
        text, read = texts[name], self._library
        if kind is FileKind.AIRPLANE:
            return read_airplane(text, name)[1]
        if kind is FileKind.AIRFIELD:
            return read_airfield(text, name, read.variation, read.now_unix_s)[1]
        if kind is FileKind.EXERCISE:
            return read_exercise(text, name, HeldTexts(dict(texts)), read.variation, read.now_unix_s)[1]
        return ()


def _data(text: str) -> dict[str, Any]:
    try:
        return parse(NamedText("", text))
    except FilesRefused:
        return {}


def _text(value: object) -> str:
    return value if isinstance(value, str) else ""
