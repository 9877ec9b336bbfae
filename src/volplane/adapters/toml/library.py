"""Airplane, airfield and exercise files on disk or held in memory, read as the commands and pages need them."""

from __future__ import annotations

import pathlib
from dataclasses import dataclass
from typing import TypeVar

from volplane.adapters.toml.airfield import read_airfield
from volplane.adapters.toml.airplane import read_airplane, read_airplane_file
from volplane.adapters.toml.exercise import read_exercise
from volplane.adapters.toml.source import FolderTexts, HeldTexts, NamedText, TextResolver, parse, read_text
from volplane.domain.airplane.airplane import Airplane
from volplane.domain.exercise.exercise import Exercise
from volplane.domain.geometry.airfield import Airfield
from volplane.errors import FilesRefused, Problem
from volplane.services.checking import CheckedFile, contradictions, implied_sink_at_sea_level_mps
from volplane.services.ports import MagneticVariation

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class TomlLibrary:
    """Reads the three files; every method raises FilesRefused with all problems when a file cannot be used.

    `now_unix_s` stands for today where a file names no date; `variation` for the chart where it names no variation.
    """

    variation: MagneticVariation
    now_unix_s: float

    def airplane(self, path: str) -> Airplane:
        """The airplane of a file."""
        source = read_text(pathlib.Path(path), path)
        return _sound(*read_airplane(source.text, source.name))

    def airfield(self, path: str) -> Airfield:
        """The airfield of a file, with the variation of today."""
        return self.airfield_of(read_text(pathlib.Path(path), path))

    def airfield_of(self, source: NamedText) -> Airfield:
        """The airfield of a text."""
        return _sound(*read_airfield(source.text, source.name, self.variation, self.now_unix_s))

    def exercise(self, path: str) -> Exercise:
        """The exercise of a file, with the airplane and airfield it names."""
        source = read_text(pathlib.Path(path), path)
        return self.exercise_of(source, _beside(path))

    def exercise_of(self, source: NamedText, resolve: TextResolver) -> Exercise:
        """The exercise of a text, the other files coming from `resolve`."""
        return _sound(*read_exercise(source.text, source.name, resolve, self.variation, self.now_unix_s))

    def exercise_held(self, texts: dict[str, str], name: str) -> Exercise:
        """The exercise `name` of texts held in memory by their names."""
        return self.exercise_of(NamedText(name, texts[name]), HeldTexts(texts))

    def check(self, path: str) -> CheckedFile:
        """What can be said about a file, whichever of the three it is; never raises a refusal."""
        try:
            source = read_text(pathlib.Path(path), path)
            kind = kind_of(source)
        except FilesRefused as refused:
            return CheckedFile(path, "unknown", None, (), refused.problems)
        if kind == "airfield":
            _, problems = read_airfield(source.text, source.name, self.variation, self.now_unix_s)
            return CheckedFile(path, kind, None, (), problems)
        if kind == "exercise":
            return self._checked_exercise(source, path)
        return _checked_airplane(source, path, "airplane", ())

    def checked_airplane(self, source: NamedText) -> CheckedFile:
        """What can be said about the text of an airplane file."""
        return _checked_airplane(source, source.name, "airplane", ())

    def _checked_exercise(self, source: NamedText, path: str) -> CheckedFile:
        resolve = _beside(path)
        _, problems = read_exercise(source.text, source.name, resolve, self.variation, self.now_unix_s)
        reference = parse(source).get("airplane")
        try:
            airplane = resolve(reference) if isinstance(reference, str) else None
        except FilesRefused:
            airplane = None
        if airplane is None:
            return CheckedFile(path, "exercise", None, (), problems)
        return _checked_airplane(airplane, path, "exercise", problems)


def kind_of(source: NamedText) -> str:
    """Which of the three a text is: "exercise" names its airplane, "airfield" has runways or an elevation.

    :raises FilesRefused: the text is no TOML.
    """
    data = parse(source)
    if "airplane" in data or isinstance(data.get("runway"), str):
        return "exercise"
    if "runway" in data or "elevation" in data:
        return "airfield"
    return "airplane"


def _checked_airplane(source: NamedText, path: str, kind: str, known: tuple[Problem, ...]) -> CheckedFile:
    reading = read_airplane_file(source)
    problems = known if kind == "exercise" else reading.problems
    if reading.handbook is None:
        return CheckedFile(path, kind, None, (), problems)
    implied = implied_sink_at_sea_level_mps(reading.handbook)
    return CheckedFile(path, kind, implied, contradictions(reading.handbook), problems)


def _beside(path: str) -> FolderTexts:
    parent = pathlib.Path(path).parent
    return FolderTexts(parent, "" if str(parent) == "." else str(parent))


def _sound(value: T | None, problems: tuple[Problem, ...]) -> T:
    if value is None:
        raise FilesRefused(problems)
    return value
