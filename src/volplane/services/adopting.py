"""Flights that teach an airplane's glide are remembered; what they teach is adopted when somebody says so, and why.

The stretches are not kept: they are found anew in the kept recordings, by today's code. Adopting writes best speed and
ratio into a new state of the airplane's file; every state before stays, so that an old plan says what it said.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Protocol

from volplane.domain.airplane.airplane import Airplane
from volplane.domain.airplane.learning import LearnedGlide
from volplane.domain.exercise.speeds import ias_mps_from_cas_mps
from volplane.services.airplane_changes import AirplaneChanges
from volplane.services.keeping import (
    AdoptionNeedsReason,
    ChangedMeanwhile,
    NothingLearned,
    Reader,
    Store,
    present_text,
)
from volplane.services.kept import Adoption, FileKind, FileText, InstructorFile, KeptRecording, TeachingFlight
from volplane.services.learning import ConfigurationFlown, Learned, RecordedLesson, learn_from_lessons
from volplane.services.recordings import Recording

# the airplane of a named text; raises FilesRefused
ReadAirplane = Callable[[str, str], Airplane]
ReadRecording = Callable[[str, bytes], Recording]


class AirplaneTexts(Protocol):
    """Texts of airplane files by their names: read, and with changes in them. Both raise FilesRefused."""

    def read(self, name: str, text: str) -> Airplane: ...
    def changed(self, name: str, text: str, changes: AirplaneChanges) -> str: ...


@dataclass(frozen=True, slots=True)
class AdoptedThen:
    """One adoption with what the airplane's file said before and after."""

    adoption: Adoption
    before: FileText
    after: FileText


def keep_teaching_flight(
    store: Store,
    airplane_name: str,
    recording: KeptRecording,
    weight_kg: float,
    now_unix_s: float,
    *,
    configurations: Sequence[ConfigurationFlown] = (),
    air_temperature_k: float | None = None,
    qnh_pa: float | None = None,
) -> TeachingFlight:
    """Remember a kept recording as one to learn an airplane's glide from.

    :raises NotKept: there is no such airplane file.
    :raises ChangedMeanwhile: it is remembered already.
    """
    flight = TeachingFlight(
        key=store.new_key(),
        airplane=present_text(store, FileKind.AIRPLANE, airplane_name).file,
        recording=recording.key,
        weight_kg=weight_kg,
        configurations=json.dumps([asdict(each) for each in configurations]),
        kept_unix_s=now_unix_s,
        air_temperature_k=air_temperature_k,
        qnh_pa=qnh_pa,
    )
    return store.change([flight])[0]


def airplane_before_adoptions(reader: Reader, airplane_name: str, read_airplane: ReadAirplane) -> Airplane:
    """The airplane of today's file with the glide it had before flights were adopted into it.

    Learning from a glide into which these very flights were adopted would count them twice. A glide that somebody wrote
    after an adoption is their own, and counts.

    :raises NotKept: there is no such airplane file.
    """
    present = present_text(reader, FileKind.AIRPLANE, airplane_name)
    airplane = read_airplane(airplane_name, present.text)
    for each in reversed(adoptions(reader, airplane_name)):
        if _figures(airplane) != _figures(read_airplane(airplane_name, each.after.text)):
            break
        airplane = replace(airplane, glide=read_airplane(airplane_name, each.before.text).glide)
    return airplane


def learned_so_far(
    reader: Reader, airplane_name: str, read_airplane: ReadAirplane, read_recording: ReadRecording
) -> Learned:
    """What every remembered flight of an airplane teaches, how it became known, and its drift.

    :raises NotKept: there is no such airplane file.
    """
    airplane = airplane_before_adoptions(reader, airplane_name, read_airplane)
    file = present_text(reader, FileKind.AIRPLANE, airplane_name).file
    flights = reader.find(TeachingFlight, airplane=file)
    return learn_from_lessons(airplane, list(_lessons(reader, flights, read_recording)))


def adopt(
    store: Store,
    airplane_name: str,
    glide: LearnedGlide,
    reason: str,
    texts: AirplaneTexts,
    *,
    code_version: str,
    now_unix_s: float,
) -> Adoption:
    """Write a learned glide into a new state of the airplane's file, at the weight it has there, and keep why.

    :raises NothingLearned: no flight is behind it.
    :raises AdoptionNeedsReason: no reason was given.
    :raises ChangedMeanwhile: somebody else wrote the file at the same moment.
    """
    if glide.stretches_count == 0:
        raise NothingLearned(airplane_name, glide.flights_count)
    if not reason.strip():
        raise AdoptionNeedsReason("no reason given")
    before = present_text(store, FileKind.AIRPLANE, airplane_name)
    airplane = texts.read(airplane_name, before.text)
    changes = AirplaneChanges(
        # at sea level, where equivalent and calibrated airspeed are the same
        glide_best_ias_mps=ias_mps_from_cas_mps(airplane, glide.best_eas_mps),
        glide_ratio=glide.best_ratio,
        # best speed and ratio count again in the place of points measured before
        glide_points=(),
    )
    text = texts.changed(airplane_name, before.text, changes)
    if text == before.text:
        raise ChangedMeanwhile("airplane file", airplane_name)
    after = FileText(store.new_key(), before.file, before.number + 1, text, now_unix_s)
    adoption = _adoption(store.new_key(), before, after, glide, reason.strip(), code_version)
    store.change([after, adoption])
    return adoption


def adoptions(reader: Reader, airplane_name: str) -> tuple[AdoptedThen, ...]:
    """Every adoption of an airplane, the first first."""
    files = reader.find(InstructorFile, kind=FileKind.AIRPLANE, name=airplane_name)
    found = [each for file in files for each in reader.find(Adoption, airplane=file.key)]
    told = [
        AdoptedThen(each, reader.get(FileText, each.text_before), reader.get(FileText, each.text)) for each in found
    ]
    return tuple(sorted(told, key=lambda each: each.after.number))


def take_back(store: Store, adopted: AdoptedThen, now_unix_s: float) -> FileText:
    """The file as it was before an adoption, as its newest state; the adoption stays in the history."""
    texts = store.find(FileText, file=adopted.before.file)
    again = FileText(store.new_key(), adopted.before.file, texts[-1].number + 1, adopted.before.text, now_unix_s)
    store.change([again])
    return again


def _figures(airplane: Airplane) -> tuple[float, float, float]:
    return airplane.glide.reference_weight_kg, airplane.glide.best_eas_mps, airplane.glide.best_ratio


def _adoption(
    key: str, before: FileText, after: FileText, glide: LearnedGlide, reason: str, code_version: str
) -> Adoption:
    return Adoption(
        key=key,
        airplane=before.file,
        text=after.key,
        text_before=before.key,
        best_eas_mps=glide.best_eas_mps,
        best_eas_sd_mps=glide.best_eas_sd_mps,
        best_ratio=glide.best_ratio,
        best_ratio_sd=glide.best_ratio_sd,
        flights=glide.flights_count,
        stretches=glide.stretches_count,
        reason=reason,
        code_version=code_version,
        adopted_unix_s=after.kept_unix_s,
    )


def _lessons(reader: Reader, flights: Sequence[TeachingFlight], read: ReadRecording) -> Iterable[RecordedLesson]:
    for flight in flights:
        recording = reader.get(KeptRecording, flight.recording)
        track = read(recording.name, reader.original(recording.key)).track
        if track is not None:
            flown = tuple(ConfigurationFlown(**each) for each in json.loads(flight.configurations))
            # two recordings of the same name are two flights, each with its own air
            name = f"{recording.name} ({recording.key[:8]})"
            yield RecordedLesson(name, track, flight.weight_kg, flown, flight.air_temperature_k, flight.qnh_pa)
