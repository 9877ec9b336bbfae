"""The instructor's own files as the pages list, open and change them: airplanes, airfields, exercises of a store.

An exercise names its airplane and its airfield by their file names; the newest texts of that name are meant.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

from volplane.errors import FilesRefused, Problem
from volplane.services.keeping import ChangedMeanwhile, NotKept, Reader, Store, keep_text
from volplane.services.kept import FileKind, FileText, InstructorFile


@dataclass(frozen=True, slots=True)
class ExerciseNames:
    """What an exercise file says it is about, as it is written there; "" is what it does not say."""

    airplane: str
    airfield: str
    runway: str


class TextReading(Protocol):
    """What is read of the texts on the shelf."""

    def names_in(self, exercise_text: str) -> ExerciseNames:
        """What an exercise is about; nothing where it cannot be read."""
        ...

    def title_of(self, text: str) -> str:
        """The `name` an airplane or airfield file gives; "" where it cannot be read."""
        ...

    def problems_of(self, kind: FileKind, name: str, texts: Mapping[str, str]) -> tuple[Problem, ...]:
        """Every problem of the file `name` among texts."""
        ...


@dataclass(frozen=True, slots=True)
class ShelvedFile:
    """A file with its newest text; `title` is the name that is written in it, or of the file."""

    file: InstructorFile
    text: FileText
    title: str


@dataclass(frozen=True, slots=True)
class ShelvedExercise:
    """An exercise with its newest text and what it is about, each by the name written in that file."""

    file: InstructorFile
    text: FileText
    airplane: str
    airfield: str
    runway: str


@dataclass(frozen=True, slots=True)
class ExerciseTexts:
    """The three texts of an exercise: the kept states, and each text by the name the exercise uses for it."""

    name: str
    exercise: FileText
    airplane: FileText
    airfield: FileText
    texts: Mapping[str, str]


class Shelf:
    """The files of one store."""

    def __init__(self, store: Store, reading: TextReading) -> None:
        self.store = store
        self._reading = reading

    def files(self, kind: FileKind) -> tuple[ShelvedFile, ...]:
        """Every file of a kind, the one changed last first."""
        with self.store.snapshot() as kept:
            found = [self._shelved(kept, file) for file in kept.find(InstructorFile, kind=kind)]
        return tuple(sorted(found, key=lambda each: each.text.kept_unix_s, reverse=True))

    def file(self, kind: FileKind, key: str) -> ShelvedFile:
        """One file. :raises NotKept: there is none of that kind and key."""
        with self.store.snapshot() as kept:
            return self._shelved(kept, _file(kept, kind, key))

    def exercises(self) -> tuple[ShelvedExercise, ...]:
        """Every exercise, the one changed last first."""
        titles = {
            (kind, each.file.name): each.title
            for kind in (FileKind.AIRPLANE, FileKind.AIRFIELD)
            for each in self.files(kind)
        }
        found = []
        for each in self.files(FileKind.EXERCISE):
            names = self._reading.names_in(each.text.text)
            airplane = titles.get((FileKind.AIRPLANE, names.airplane), names.airplane)
            airfield = titles.get((FileKind.AIRFIELD, names.airfield), names.airfield)
            found.append(ShelvedExercise(each.file, each.text, airplane, airfield, names.runway))
        return tuple(found)

    def exercise(self, key: str) -> ExerciseTexts:
        """An exercise with the newest texts of its airplane and airfield.

        :raises NotKept: there is no such exercise.
        :raises FilesRefused: the files it names are not on the shelf.
        """
        with self.store.snapshot() as kept:
            file = _file(kept, FileKind.EXERCISE, key)
            return self._with_references(kept, file.name, _newest(kept, file))

    def exercise_of_texts(self, exercise: str, airplane: str, airfield: str) -> ExerciseTexts:
        """An exercise as it once was, by the keys of its three texts. :raises NotKept: one of them is not kept."""
        with self.store.snapshot() as kept:
            wish, plane, field = (kept.get(FileText, key) for key in (exercise, airplane, airfield))
            name = kept.get(InstructorFile, wish.file).name
        return self._together(name, wish, plane, field)

    def save(self, kind: FileKind, key: str, text: str, seen_number: int, now_unix_s: float) -> FileText:
        """Keep a changed text of a file that was read as its state `seen_number`.

        :raises FilesRefused: the text has problems.
        :raises ChangedMeanwhile: somebody else has changed it since.
        """
        shelved = self.file(kind, key)
        if shelved.text.number != seen_number:
            raise ChangedMeanwhile(kind.value, shelved.file.name)
        self._refuse(kind, shelved.file.name, text)
        return keep_text(self.store, kind, shelved.file.name, text, now_unix_s)

    def add(self, kind: FileKind, title: str, text: str, now_unix_s: float) -> FileText:
        """Keep a new file under a name made of its title. :raises FilesRefused: the text has problems."""
        name = self.free_name(kind, title)
        self._refuse(kind, name, text)
        return keep_text(self.store, kind, name, text, now_unix_s)

    def free_name(self, kind: FileKind, title: str) -> str:
        """A file name made of a title that no file of the kind has."""
        taken = {file.name for file in self.store.find(InstructorFile, kind=kind)}
        stem = _stem(title) or kind.value
        names = (f"{stem}{'' if number == 1 else f'-{number}'}.toml" for number in range(1, len(taken) + 2))
        return next(name for name in names if name not in taken)

    def _refuse(self, kind: FileKind, name: str, text: str) -> None:
        texts = {name: text}
        if kind is FileKind.EXERCISE:
            names = self._reading.names_in(text)
            with self.store.snapshot() as kept:
                for other, reference in ((FileKind.AIRPLANE, names.airplane), (FileKind.AIRFIELD, names.airfield)):
                    if found := kept.find(InstructorFile, kind=other, name=reference):
                        texts[reference] = _newest(kept, found[0]).text
        if problems := self._reading.problems_of(kind, name, texts):
            raise FilesRefused(problems)

    def _shelved(self, kept: Reader, file: InstructorFile) -> ShelvedFile:
        text = _newest(kept, file)
        return ShelvedFile(file, text, self._reading.title_of(text.text) or file.name.removesuffix(".toml"))

    def _with_references(self, kept: Reader, name: str, exercise: FileText) -> ExerciseTexts:
        names = self._reading.names_in(exercise.text)
        airplane = _referenced(kept, name, FileKind.AIRPLANE, names.airplane)
        airfield = _referenced(kept, name, FileKind.AIRFIELD, names.airfield)
        return self._together(name, exercise, airplane, airfield)

    def _together(self, name: str, exercise: FileText, airplane: FileText, airfield: FileText) -> ExerciseTexts:
        names = self._reading.names_in(exercise.text)
        texts = {name: exercise.text, names.airplane: airplane.text, names.airfield: airfield.text}
        return ExerciseTexts(name, exercise, airplane, airfield, texts)


def _file(kept: Reader, kind: FileKind, key: str) -> InstructorFile:
    file = kept.get(InstructorFile, key)
    if file.kind is not kind:
        raise NotKept(kind.value, key)
    return file


def _newest(kept: Reader, file: InstructorFile) -> FileText:
    texts = kept.find(FileText, file=file.key)
    if not texts:
        raise NotKept(file.kind.value, file.name)
    return texts[-1]


def _referenced(kept: Reader, exercise: str, kind: FileKind, name: str) -> FileText:
    found = kept.find(InstructorFile, kind=kind, name=name)
    if not found:
        said = f'"{name}"' if name else "nothing"
        remedy = f"Name a kept {kind.value}, or add this one."
        raise FilesRefused((Problem(exercise, kind.value, said, f"a kept {kind.value}", remedy, "file-missing"),))
    return _newest(kept, found[0])


def _stem(title: str) -> str:
    """Letters and digits of a title, the rest an underscore: "Dunlin Tourer" is dunlin_tourer."""
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "_", plain.lower()).strip("_")[:60]
