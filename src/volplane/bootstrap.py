"""Joins adapters to use cases: the one place that knows which file reader, format and model stands behind a service.

Everything heavy is imported where it is used, so that a command that needs little starts fast.
"""

from __future__ import annotations

import functools
import json
import os
import pathlib
import time
from collections.abc import Callable, Generator, Mapping, Sequence
from dataclasses import dataclass
from importlib import metadata
from typing import TYPE_CHECKING, Any, TypeVar

from volplane import __version__

if TYPE_CHECKING:
    from volplane.adapters.journal import Journal
    from volplane.adapters.recording_folder import WatchedFolder
    from volplane.adapters.store.store import SqlStore
    from volplane.adapters.toml.library import TomlLibrary
    from volplane.domain.airplane.airplane import Airplane
    from volplane.domain.airplane.airspeed_calibration import AirspeedCalibration
    from volplane.domain.airplane.measured_glide import MeasuredGlide
    from volplane.domain.airplane.partial_glides import PartialGlide
    from volplane.domain.atmosphere.wind import WindProfile
    from volplane.domain.debrief.results import Attempt, Debrief
    from volplane.domain.debrief.standards import Standard
    from volplane.domain.debrief.what_if import Actions, FlownOn
    from volplane.domain.exercise.dispersion import Progress
    from volplane.domain.exercise.exercise import Exercise
    from volplane.domain.exercise.plan import Plan
    from volplane.domain.geometry.airfield import Airfield
    from volplane.errors import Problem
    from volplane.services.airfields import AirfieldsFound, FoundAirfield, TableMade, TableOrigin
    from volplane.services.airplane_changes import AirplaneChanges
    from volplane.services.calibrating import DayOfLegs
    from volplane.services.checking import CheckedFile
    from volplane.services.column_maps import SeenColumn
    from volplane.services.importing import Prepared, Sender
    from volplane.services.keeping import Reader, Store
    from volplane.services.keeping_debriefs import DebriefOptions
    from volplane.services.kept import FileKind, FileText, KeptDebrief
    from volplane.services.learning import Learned, LessonFile
    from volplane.services.many_recordings import Answered, Result, Task
    from volplane.services.measured_file import MeasuredFile
    from volplane.services.measuring import DayOfMeasuring
    from volplane.services.recomputing import Document
    from volplane.services.recordings import ColumnMap, Recording
    from volplane.services.safekeeping import CheckedStore, Restored, WrittenOut
    from volplane.services.sent_recordings import Sent
    from volplane.services.shelf import ExerciseTexts
    from volplane.services.standing_in import StandInAnswer, StandInWishes

A = TypeVar("A")

_DEMO_FILES = ("exercise.toml", "dunlin_tourer.toml", "quill_meadow.toml")
_DEMO_EXERCISE = "exercise.toml"
# the name of the exercise made of an airplane, an airfield and a runway, in messages about it
_DEFAULTS = "the exercise with every default"


def library() -> TomlLibrary:
    """Reader of airplane, airfield and exercise files, for today."""
    from volplane.adapters.magnetic import WorldMagneticModel
    from volplane.adapters.toml.library import TomlLibrary

    return TomlLibrary(WorldMagneticModel(), time.time())


def load_exercise(path: pathlib.Path) -> Exercise:
    """The exercise of a file. :raises FilesRefused: with every problem of it and of the files it names."""
    return library().exercise(str(path))


def load_airplane(path: pathlib.Path) -> Airplane:
    """The airplane of a file. :raises FilesRefused: with every problem."""
    return library().airplane(str(path))


def load_airfield(path: pathlib.Path) -> Airfield:
    """The airfield of a file. :raises FilesRefused: with every problem."""
    return library().airfield(str(path))


def default_exercise(airplane: pathlib.Path, airfield: pathlib.Path, runway: str) -> Exercise:
    """The exercise with every default for an airplane file, an airfield file and a runway."""
    from volplane.adapters.toml.source import read_text

    texts = {str(path): read_text(path, str(path)).text for path in (airplane, airfield)}
    wishes = {"airplane": str(airplane), "airfield": str(airfield), "runway": runway}
    texts[_DEFAULTS] = "\n".join(f"{key} = {json.dumps(value)}" for key, value in wishes.items())
    return library().exercise_held(texts, _DEFAULTS)


def check_files(paths: tuple[str, ...]) -> tuple[CheckedFile, ...]:
    """What can be said about each file."""
    read = library()
    return tuple(read.check(path) for path in paths)


def plan_exercise(exercise: Exercise) -> Plan:
    """The exercise, solved."""
    from volplane.domain.exercise.solver import solve

    return solve(exercise)


def plan_dispersed(exercise: Exercise, runs: int, seed: int, progress: Progress | None = None) -> Plan:
    """The exercise, solved and, where it can be flown as wished, flown many times by a pilot who errs.

    `progress` is told flights done and to do; what it answers, if true, stops the work.

    :raises DispersionStopped: `progress` said so.
    """
    from dataclasses import replace

    from volplane.domain.exercise.dispersion import disperse, dispersion_findings
    from volplane.domain.exercise.shape_search import solve_shape
    from volplane.domain.finding import by_weight

    plan = plan_exercise(exercise)
    if not plan.feasible:
        return plan
    dispersion = disperse(solve_shape(exercise), plan.break_off, runs, seed, progress=progress)
    findings = by_weight([*dispersion_findings(dispersion, exercise.thresholds), *plan.findings])
    return replace(plan, dispersion=dispersion, findings=findings)


def with_comparison(plan: Plan) -> Plan:
    """A plan with the same exercise on every runway end and both sides beside it."""
    from dataclasses import replace

    from volplane.domain.exercise.comparing import compare

    return replace(plan, comparison=compare(plan.exercise, plan))


def with_ways(plan: Plan) -> Plan:
    """A plan with what each way to lose height costs from each gate on, and the speed to fly of each straight leg."""
    from dataclasses import replace

    from volplane.domain.exercise.leg_speeds import leg_speeds
    from volplane.domain.exercise.ways import ways_of

    return replace(plan, ways=ways_of(plan), leg_speeds=leg_speeds(plan))


def read_recording(name: str, data: bytes, column_map: ColumnMap | None = None) -> Recording:
    """The track in a recorder's file, or readings written down; what is wrong with the file is in its problems."""
    from volplane.adapters import tables
    from volplane.adapters.formats.sniff import FORMATS, unwrapped
    from volplane.adapters.magnetic import WorldMagneticModel
    from volplane.services import kneeboard, recordings

    if tables.holds_titles(data, tables.KNEEBOARD_MARK):
        table = tables.read_table(name, data, tables.KNEEBOARD_TITLES)
        rows = [kneeboard.KneeboardRow(row.line_number, row.words.get("gate", ""), row.si) for row in table.rows]
        return kneeboard.recording_of_rows(name, data, rows, table.problems)
    variation = WorldMagneticModel()
    return recordings.read_recording(name, data, FORMATS, unwrapped, column_map=column_map, variation=variation)


def read_recording_file(path: pathlib.Path, column_map: ColumnMap | None = None) -> Recording:
    """The track in a recorder's file on disk. :raises FilesRefused: the file cannot be read at all."""
    from volplane.adapters.recording_file import read_file

    return read_recording(path.name, read_file(path), column_map)


def columns_of_recording(name: str, data: bytes) -> ColumnMap | None:
    """Which column of a table would be taken as what, to be shown and changed; None for files without columns."""
    from volplane.adapters.formats.sniff import columns_of

    return columns_of(name, data)


def columns_of_recording_file(path: pathlib.Path) -> ColumnMap | None:
    """The same for a file on disk. :raises FilesRefused: the file cannot be read at all."""
    from volplane.adapters.recording_file import read_file

    return columns_of_recording(path.name, read_file(path))


def load_column_map(path: pathlib.Path) -> ColumnMap:
    """The column map of a file. :raises FilesRefused: with every problem in it."""
    from volplane.adapters.column_map_file import read_column_map

    return read_column_map(path)


def column_map_text(column_map: ColumnMap) -> str:
    """A column map as the text of its file."""
    from volplane.adapters import column_map_file

    return column_map_file.column_map_text(column_map)


def debrief_read(
    recording: Recording,
    exercise: Exercise,
    *,
    wind: WindProfile | None = None,
    qnh_pa: float | None = None,
    standard: Standard | None = None,
) -> Debrief:
    """The debrief of a recording that was read."""
    from volplane.services.debriefing import debrief_recording

    return debrief_recording(recording, exercise, wind=wind, qnh_pa=qnh_pa, standard=standard)


def standard_asked_for(name_or_path: str) -> Standard:
    """The standard of a name, or of an instructor's own TOML file.

    :raises StandardUnknown: neither a known name nor the name of a TOML file.
    :raises FilesRefused: with every problem of the file.
    """
    from volplane.adapters.toml.source import read_text
    from volplane.adapters.toml.standard import read_standard
    from volplane.domain.debrief.standards import standard_named
    from volplane.errors import FilesRefused

    if not name_or_path.lower().endswith(".toml"):
        return standard_named(name_or_path)
    source = read_text(pathlib.Path(name_or_path), name_or_path)
    standard, problems = read_standard(source.text, source.name)
    if standard is None:
        raise FilesRefused(problems)
    return standard


def what_if(attempt: Attempt, time_s: float, actions: Actions) -> FlownOn:
    """An exercise flown, flown on by a dead engine from one of its seconds with other actions or in other wind.

    :raises Refusal: the wind is not known, the second was not flown, or the actions cannot be flown.
    """
    from volplane.domain.debrief.what_if import flown_on

    return flown_on(attempt, time_s, actions)


def with_markers(debrief: Debrief, path: pathlib.Path) -> Debrief:
    """The debrief with what a table of markers tells. :raises FilesRefused: with every problem of the table."""
    from volplane.adapters import tables
    from volplane.adapters.recording_file import read_file
    from volplane.domain.debrief.markers import with_markers
    from volplane.errors import FilesRefused
    from volplane.services.marking import MarkerRow, markers_of_rows

    table = tables.read_table(str(path), read_file(path), tables.MARKER_TITLES)
    if table.problems:
        raise FilesRefused(table.problems)
    rows = [MarkerRow(row.line_number, row.words.get("utc", ""), row.words.get("marker", "")) for row in table.rows]
    return with_markers(debrief, markers_of_rows(str(path), rows, debrief.recording.start_unix_s))


def debrief_bytes(
    name: str,
    data: bytes,
    exercise: Exercise,
    *,
    wind: WindProfile | None = None,
    qnh_pa: float | None = None,
) -> Debrief:
    """The debrief of a recorder's file held in memory."""
    return debrief_read(read_recording(name, data), exercise, wind=wind, qnh_pa=qnh_pa)


def debrief_file(
    path: pathlib.Path, exercise: Exercise, *, wind: WindProfile | None = None, qnh_pa: float | None = None
) -> Debrief:
    """The debrief of a recorder's file on disk. :raises FilesRefused: it cannot be read or holds no track."""
    return debrief_read(read_recording_file(path), exercise, wind=wind, qnh_pa=qnh_pa)


def warm_kernels() -> None:
    """Compile every kernel into the cache by doing the whole job once on the demo's data."""
    from volplane import compiled
    from volplane.domain.glide.required_height import required_height

    workbench = demo_workbench()
    workbench.plan({})
    plan_dispersed(workbench.exercise({}), 100, 1)
    for recording in demo_recordings():
        debrief_bytes(recording.file_name, recording.data, workbench.exercise({}))
    required_height([-1000.0], [500.0], [0.0], tas_mps=54.0, ratio=10.0, bank_rad=0.5)
    compiled.mark_cache_warm()


@dataclass(frozen=True, slots=True)
class DemoFile:
    """A recording of the demo as the pages and the command offer it."""

    file_name: str
    trainee: str
    instructor: str
    note: str
    data: bytes


@dataclass(frozen=True, slots=True)
class BenchField:
    """One value of the exercise that can be changed in place."""

    key: str
    text: str
    height_above_field_m: float | None = None
    is_seldom: bool = False
    choices: tuple[str, ...] = ()


class Workbench:
    """The exercise on the bench: planned with changes, and debriefed against. Safe to call from several threads."""

    def __init__(self, texts: Mapping[str, str], exercise_name: str) -> None:
        self._texts = dict(texts)
        self._exercise_name = exercise_name

    def exercise_fields(self) -> tuple[BenchField, ...]:
        """The fields as the exercise file has them, or their defaults."""
        from volplane.adapters.toml.changes import typed_fields

        return tuple(
            BenchField(field.key, field.text, field.height_above_field_m, field.is_seldom, field.choices)
            for field in typed_fields(self.exercise({}))
        )

    def exercise(self, changes: Mapping[str, str]) -> Exercise:
        """The exercise with the changes. :raises FilesRefused: one problem for each bad field."""
        from volplane.adapters.magnetic import WorldMagneticModel
        from volplane.adapters.toml.changes import exercise_with_changes
        from volplane.adapters.toml.source import HeldTexts, NamedText

        source = NamedText(self._exercise_name, self._texts[self._exercise_name])
        return exercise_with_changes(source, changes, HeldTexts(self._texts), WorldMagneticModel(), time.time())

    def checked_airplane(self) -> CheckedFile:
        """What can be said about the figures of the airplane's file."""
        from volplane.adapters.toml.source import NamedText, parse

        exercise = NamedText(self._exercise_name, self._texts[self._exercise_name])
        name = parse(exercise)["airplane"]
        return library().checked_airplane(NamedText(name, self._texts[name]))

    def stand_in(self, changes: Mapping[str, str]) -> StandInAnswer:
        """The stand-in of the airplane at the exercise's weight and in its air, by the model.

        :raises FilesRefused: one problem for each bad field.
        """
        from volplane.services import standing_in

        exercise = self.exercise(changes)
        return standing_in.stand_in_answer(exercise, (), standing_in.wishes_of(exercise))

    def plan(self, changes: Mapping[str, str]) -> Plan:
        """The exercise with the changes, solved."""
        return plan_exercise(self.exercise(changes))

    def drawn(self, changes: Mapping[str, str]) -> Plan:
        """The same as far as a drawing shows it, for a gate in the hand."""
        from volplane.domain.exercise.solver import solve_for_drawing

        return solve_for_drawing(self.exercise(changes))

    def compared(self, changes: Mapping[str, str]) -> Plan:
        """The same with every runway end and both sides beside it."""
        return with_comparison(self.plan(changes))

    def with_ways(self, changes: Mapping[str, str]) -> Plan:
        """The same with what each way to lose height costs from each gate on."""
        return with_ways(self.plan(changes))

    def dispersed(self, changes: Mapping[str, str], runs: int, seed: int, progress: Progress) -> Plan:
        """The same flown many times by a pilot who errs. :raises DispersionStopped: `progress` said so."""
        return plan_dispersed(self.exercise(changes), runs, seed, progress)

    def measured(self, file_name: str, data: bytes, changes: Mapping[str, str]) -> MeasuredFile:
        """What a recording or table tells about the airplane; nothing is kept."""
        return measure_file(self.exercise(changes), file_name, data)


def demo_texts() -> dict[str, str]:
    """The demo's three files by name."""
    folder = pathlib.Path(__file__).parent / "demo_data"
    return {name: (folder / name).read_text(encoding="utf-8") for name in _DEMO_FILES}


def demo_workbench() -> Workbench:
    """The demo's exercise on the bench."""
    return Workbench(demo_texts(), _DEMO_EXERCISE)


def texts_of(path: pathlib.Path) -> dict[str, str]:
    """An exercise file and the files it names, each by the name it is called, the exercise first.

    :raises FilesRefused: with every problem.
    """
    from volplane.adapters.toml.source import parse, read_text

    load_exercise(path)
    exercise = read_text(path, path.name)
    texts = {path.name: exercise.text}
    for reference in (parse(exercise)[key] for key in ("airplane", "airfield")):
        texts[reference] = read_text(path.parent / reference, reference).text
    return texts


@functools.cache
def demo_recordings() -> tuple[DemoFile, ...]:
    """The demo's recordings as files, flown once by the program's own integrator."""
    from volplane.adapters.formats import csv, gpx
    from volplane.services.demo import DEMO_LESSONS, demo_track

    exercise = Workbench(demo_texts(), _DEMO_EXERCISE).exercise({})
    files = []
    for lesson in DEMO_LESSONS:
        track = demo_track(exercise, lesson)
        written = gpx.write(track) if lesson.file_name.endswith(".gpx") else csv.write(track)
        files.append(DemoFile(lesson.file_name, lesson.trainee, lesson.instructor, lesson.note, written))
    return tuple(files)


def calibrate_airspeed(path: pathlib.Path, day: DayOfLegs) -> AirspeedCalibration:
    """The airspeed calibration of a table of legs or of a recording. :raises FilesRefused: it cannot be read."""
    from volplane.adapters.recording_file import read_file

    return calibrate_airspeed_bytes(path.name, read_file(path), day)


def calibrate_airspeed_bytes(name: str, data: bytes, day: DayOfLegs) -> AirspeedCalibration:
    """The same of a file held in memory."""
    from volplane.adapters import tables
    from volplane.services import calibrating

    if not tables.is_table_of(data, tables.AIRSPEED_MARK):
        return calibrating.calibrate_recording(read_recording(name, data), day)
    has_track = tables.is_table_of(data, (tables.Title("track_true_deg"),))
    titles = tables.AIRSPEED_TITLES if has_track else tables.AIRSPEED_HEADING_TITLES
    table = tables.read_table(name, data, titles)
    if table.problems:
        from volplane.errors import FilesRefused

        raise FilesRefused(table.problems)
    return calibrating.calibrate_rows([row.si for row in table.rows], day)


def measure_glide(
    airplane: Airplane, sources: Sequence[pathlib.Path], day: DayOfMeasuring, *, trusts_handbook: bool = False
) -> MeasuredGlide:
    """The glide that tables of points and recordings show. :raises FilesRefused: one of them cannot be used."""
    from volplane.adapters.recording_file import read_file

    held = [(str(path), read_file(path)) for path in sources]
    return measure_glide_held(airplane, held, day, trusts_handbook=trusts_handbook)


def measure_glide_held(
    airplane: Airplane, sources: Sequence[tuple[str, bytes]], day: DayOfMeasuring, *, trusts_handbook: bool = False
) -> MeasuredGlide:
    """The same of files (name and bytes) held in memory."""
    from volplane.adapters import tables
    from volplane.services import measuring

    glides = [glide for name, data in sources for glide in _glides_of(airplane, name, data, day)]
    measured = measuring.measure(airplane, glides, trusts_handbook=trusts_handbook)
    if day.is_weight_assumed and not all(tables.is_table_of(data, tables.MEASURE_TITLES) for _, data in sources):
        return measuring.with_assumed_weight(measured, day.weight_kg)
    return measured


def _glides_of(airplane: Airplane, name: str, data: bytes, day: DayOfMeasuring) -> tuple[PartialGlide, ...]:
    from volplane.adapters import tables
    from volplane.errors import FilesRefused
    from volplane.services import measuring

    if tables.is_table_of(data, tables.MEASURE_TITLES):
        reading = tables.read_table(name, data, tables.MEASURE_TITLES)
        if reading.problems:
            raise FilesRefused(reading.problems)
        return measuring.glides_of_rows(
            airplane, [measuring.row_of(f"{name}, line {row.line_number}", row.si, row.words) for row in reading.rows]
        )
    recording = read_recording(name, data)
    if recording.track is None:
        raise FilesRefused(recording.problems)
    return measuring.glides_of_track(airplane, recording.track, name, day)


def stand_in(path: pathlib.Path, points: pathlib.Path | None, wishes: StandInWishes) -> StandInAnswer:
    """The stand-in of an airplane file, from a table of powered descents where there is one.

    :raises FilesRefused: with every problem of the files.
    """
    from volplane.adapters.recording_file import read_file
    from volplane.adapters.toml.source import read_text

    table = None if points is None else (points.name, read_file(points))
    return stand_in_held(str(path), read_text(path, str(path)).text, table, wishes)


def stand_in_held(name: str, text: str, table: tuple[str, bytes] | None, wishes: StandInWishes) -> StandInAnswer:
    """The same of an airplane file and a table (name and bytes) held in memory."""
    from volplane.adapters import tables
    from volplane.errors import FilesRefused
    from volplane.services import standing_in

    reading = None if table is None else tables.read_table(*table, tables.STAND_IN_TITLES)
    if reading is not None and reading.problems:
        raise FilesRefused(reading.problems)
    rows = () if reading is None else reading.rows
    points = [standing_in.point_of_row(row.si, row.line_number) for row in rows]
    field = standing_in.LEVEL_FIELD
    texts = {name: text, field: field_text(standing_in.level_field_elevation_m(wishes)), _DEFAULTS: ""}
    exercise = {"airplane": name, "airfield": field, "runway": "36"}
    texts[_DEFAULTS] = "\n".join(f"{key} = {json.dumps(value)}" for key, value in exercise.items())
    held = library().exercise_held(texts, _DEFAULTS)
    return standing_in.stand_in_answer(standing_in.on_level_field(held, wishes), points, wishes)


def measure_file(exercise: Exercise, name: str, data: bytes) -> MeasuredFile:
    """What one file held in memory tells about the exercise's airplane: which kind of file it is, it says itself.

    A recording is looked through for steady glides, at the exercise's weight, and for legs.

    :raises FilesRefused: the file cannot be used.
    :raises Refusal: a table whose rows give no result.
    """
    from volplane.adapters import tables
    from volplane.errors import FilesRefused, Refusal
    from volplane.services import standing_in
    from volplane.services.calibrating import DayOfLegs
    from volplane.services.measured_file import MeasuredFile, Untold
    from volplane.services.measuring import DayOfMeasuring

    airplane, day = exercise.airplane, DayOfMeasuring(exercise.weight_kg)
    if tables.is_table_of(data, tables.STAND_IN_TITLES):
        reading = tables.read_table(name, data, tables.STAND_IN_TITLES)
        if reading.problems:
            raise FilesRefused(reading.problems)
        points = [standing_in.point_of_row(row.si, row.line_number) for row in reading.rows]
        answer = standing_in.stand_in_answer(exercise, points, standing_in.wishes_of(exercise))
        return MeasuredFile(airplane, stand_in=answer)
    if tables.is_table_of(data, tables.MEASURE_TITLES):
        return MeasuredFile(airplane, glide=measure_glide_held(airplane, [(name, data)], day))
    if tables.is_table_of(data, tables.AIRSPEED_MARK):
        return MeasuredFile(airplane, airspeed=calibrate_airspeed_bytes(name, data, DayOfLegs()))
    untold = []
    glide, calibration = None, None
    try:
        glide = measure_glide_held(airplane, [(name, data)], day)
    except FilesRefused:
        raise
    except Refusal as refusal:
        untold.append(Untold("glide", refusal))
    try:
        calibration = calibrate_airspeed_bytes(name, data, DayOfLegs())
    except Refusal as refusal:
        untold.append(Untold("airspeed", refusal))
    return MeasuredFile(airplane, glide, calibration, untold=tuple(untold))


def field_text(elevation_m: float) -> str:
    """An airfield file for work in level country and still air, in mid-ocean so that nobody takes it for a real one."""
    from volplane.services.quantities import HEIGHT, write_quantity

    return (
        f'name = "a level field"\nelevation = "{write_quantity(elevation_m, HEIGHT)}"\nvariation = "0 deg W"\n'
        '[[runway]]\nname = "36"\nthreshold = [44.0, -40.0]\nbearing_true = "0 deg"\nlength = "6000 ft"\n'
    )


def changed_airplane_text(path: pathlib.Path, changes: AirplaneChanges) -> str:
    """The text of an airplane file with measured values written into it, read back before it is given out.

    :raises FilesRefused: the file cannot be used, or could not be with these values in it.
    """
    from volplane.adapters.toml.source import read_text

    load_airplane(path)
    return AirplaneTexts().changed(str(path), read_text(path, str(path)).text, changes)


class AirplaneTexts:
    """Airplane files held in memory, read and changed; see `volplane.services.adopting.AirplaneTexts`."""

    def read(self, name: str, text: str) -> Airplane:
        """The airplane of a text. :raises FilesRefused: with every problem."""
        from volplane.adapters.toml.airplane import read_airplane
        from volplane.errors import FilesRefused

        airplane, problems = read_airplane(text, name)
        if airplane is None:
            raise FilesRefused(problems)
        return airplane

    def changed(self, name: str, text: str, changes: AirplaneChanges) -> str:
        """The text with the changes in it. :raises FilesRefused: it could not be used with them."""
        from volplane.adapters.toml.airplane import read_airplane
        from volplane.adapters.toml.writing import write_airplane
        from volplane.errors import FilesRefused

        changed = write_airplane(text, changes)
        _, problems = read_airplane(changed, name)
        if problems:
            raise FilesRefused(problems)
        return changed


def find_airfields(text: str, most: int) -> AirfieldsFound:
    """What the table of runway ends answers to a text. :raises AirfieldUnknown: nothing."""
    from volplane.adapters.magnetic import WorldMagneticModel
    from volplane.adapters.runways.folder import current_table
    from volplane.services.airfields import find

    return find(current_table(), text, most, WorldMagneticModel(), time.time())


def airfield_text(found: FoundAirfield, origin: TableOrigin, notes: Mapping[str, Sequence[str]], file_name: str) -> str:
    """An airfield of the table as an airfield file, read back before it is given out.

    :raises AirfieldNotPlaced: no end of it can be used.
    """
    from volplane.adapters.magnetic import WorldMagneticModel
    from volplane.adapters.toml.airfield import read_airfield
    from volplane.adapters.toml.airfield_text import write_airfield
    from volplane.errors import FilesRefused

    text = write_airfield(found, origin, notes)
    _, problems = read_airfield(text, file_name, WorldMagneticModel(), time.time())
    if problems:
        raise FilesRefused(problems)
    return text


def update_runway_table(paths: Sequence[pathlib.Path], dated: str | None) -> TableMade:
    """Make a table of runway ends of raw tables and put it in place of the shipped one, for this user.

    `dated` is the day the raw tables are of (ISO), else the day the newest of the files was last changed.

    :raises FilesRefused: a file cannot be read, or they are not a table of airports and one of runways.
    """
    from volplane.adapters.runways import compact, folder, raw
    from volplane.services.airfields import TableMade, TableOrigin

    read = [(str(path), *folder.read_raw_file(path)) for path in paths]
    tables = raw.read_raw([(name, data) for name, data, _ in read])
    day = dated if dated is not None else max(changed for _, _, changed in read)
    source = "tables of airports and runways given to volplane airfields update"
    digests = (tables.airports_sha256, tables.runways_sha256)
    origin = TableOrigin(day, source, "as their publisher says", *digests, is_own=True)
    path = folder.keep_own(compact.write_compact(origin, tables.airfields))
    ends, usable = tables.counted_ends()
    return TableMade(origin, len(tables.airfields), ends, usable, tables.lines_left_out, str(path))


def forget_runway_table() -> bool:
    """Go back to the shipped table of runway ends; whether there was another."""
    from volplane.adapters.runways.folder import forget_own

    return forget_own()


def learn_from_files(airplane: pathlib.Path, lessons: Sequence[LessonFile]) -> Learned:
    """What recorded lessons teach about the glide of an airplane file; neither is changed.

    :raises FilesRefused: a file cannot be read or holds no track.
    """
    from volplane.services.learning import learn_from_lessons

    known = load_airplane(airplane)
    return learn_from_lessons(known, [each.read(read_recording_file(pathlib.Path(each.path))) for each in lessons])


def store_place(named: str | None = None) -> str:
    """Where the store is: as named, else `VOLPLANE_DATABASE`, else a file in the folder of the user's data."""
    from volplane.adapters.runways.folder import data_folder

    return named or os.environ.get("VOLPLANE_DATABASE") or str(data_folder() / "volplane.sqlite")


def open_store(named: str | None = None) -> Store:
    """The store there, made where there is none. :raises StoreUnusable: it cannot be opened."""
    from volplane.adapters.store.store import open_store

    return open_store(store_place(named))


def kept_store(named: str | None = None) -> SqlStore:
    """The store there. :raises StoreUnusable: there is none, or it cannot be opened."""
    from volplane.adapters.store.store import open_store

    return open_store(store_place(named), is_made=False)


def debrief_again(reader: Reader, kept: KeptDebrief) -> Debrief:
    """A kept debrief made again from its recording, its texts and its options."""
    from dataclasses import replace

    from volplane.adapters.magnetic import WorldMagneticModel
    from volplane.adapters.toml.library import TomlLibrary
    from volplane.adapters.toml.source import HeldTexts, NamedText, parse
    from volplane.services.keeping_debriefs import DebriefOptions
    from volplane.services.kept import FileText, InstructorFile, KeptRecording

    options = DebriefOptions.of_text(kept.options)
    text = reader.get(FileText, kept.exercise_text)
    source = NamedText(reader.get(InstructorFile, text.file).name, text.text)
    named = parse(source)
    texts = {"airplane": kept.airplane_text, "airfield": kept.airfield_text}
    held = HeldTexts({str(named[key]): reader.get(FileText, text_key).text for key, text_key in texts.items()})
    exercise = TomlLibrary(WorldMagneticModel(), options.now_unix_s).exercise_of(source, held)
    if options.weight_kg is not None:
        exercise = replace(exercise, weight_kg=options.weight_kg, stated=exercise.stated | {"weight"})
    recording = reader.get(KeptRecording, kept.recording)
    read = read_recording(recording.name, reader.original(recording.key), _column_map(options.column_map_text))
    return debrief_read(read, exercise, wind=options.wind, qnh_pa=options.qnh_pa)


def check_store(
    named: str | None, document: Document | None, progress: Callable[[str], None] = lambda said: None
) -> CheckedStore:
    """The store looked through; with a way to make documents every debrief is made again too."""
    from dataclasses import replace

    from volplane import __version__
    from volplane.adapters.store.inspecting import inspected
    from volplane.services.recomputing import recomputed

    store = kept_store(named)
    checked = inspected(store.engine)
    if document is None:
        return checked
    with store.snapshot() as reader:
        again = recomputed(reader, debrief_again, document, __version__, progress)
    return replace(
        checked,
        faults=(*checked.faults, *again.faults),
        debriefs_recomputed=again.count,
        made_by_other_version=again.made_by_other_version,
    )


def back_up_store(named: str | None, path: pathlib.Path) -> WrittenOut:
    """A consistent copy of the store in one file. :raises FilesRefused: it cannot be written there."""
    from volplane.adapters.store.copies import back_up

    return back_up(kept_store(named).engine, path)


def export_store(named: str | None, folder: pathlib.Path, person: str | None = None) -> WrittenOut:
    """Everything kept, or what belongs to one person, as open files. :raises FilesRefused: it cannot be written."""
    from volplane.adapters.store.copies import export
    from volplane.services.forgetting import export_of, person_named

    store = kept_store(named)
    if person is None:
        return export(store.engine, folder)
    with store.snapshot() as reader:
        return export(store.engine, folder, export_of(reader, person_named(reader, person)))


def restore_store(named: str | None, path: pathlib.Path) -> Restored:
    """A backup or export in the place of what is kept. :raises FilesRefused: it cannot be used."""
    from volplane.adapters.runways.folder import data_folder
    from volplane.adapters.store.copies import restore

    return restore(store_place(named), path, data_folder(), time.time())


class House:
    """What the workbench stands on, over one store; see `volplane.faces.web.ports.House`."""

    def __init__(self, store: SqlStore) -> None:
        from volplane.adapters.store.lists import SqlLists
        from volplane.adapters.toml.shelf_reading import TomlTextReading
        from volplane.services.shelf import Shelf

        self._reading = TomlTextReading(library())
        self.shelf = Shelf(store, self._reading)
        self.lists = SqlLists(store.engine)
        self._engine = store.engine
        self.code_version = metadata.version("volplane")

    def now_unix_s(self) -> float:
        """The moment."""
        return time.time()

    def workbench(self, texts: ExerciseTexts) -> Workbench:
        """An exercise on the bench."""
        return Workbench(texts.texts, texts.name)

    def level_workbench(self, airplane_name: str, airplane_text: str) -> Workbench:
        """An airplane alone, at a level field by the sea."""
        field = "a level field by the sea"
        names = {"airplane": airplane_name, "airfield": field, "runway": "36"}
        wish = "\n".join(f"{key} = {json.dumps(value)}" for key, value in names.items())
        return Workbench({airplane_name: airplane_text, field: field_text(0.0), _DEFAULTS: wish}, _DEFAULTS)

    def with_changes(self, name: str, texts: Mapping[str, str], changes: Mapping[str, str]) -> str:
        """The text of an exercise with typed values written into it."""
        from volplane.adapters.toml.changes import text_with_changes
        from volplane.adapters.toml.source import NamedText

        Workbench(texts, name).exercise(changes)
        return text_with_changes(NamedText(name, texts[name]), changes)

    def problems_of(self, kind: FileKind, name: str, texts: Mapping[str, str]) -> tuple[Problem, ...]:
        """Every problem of a file among texts."""
        return self._reading.problems_of(kind, name, texts)

    def airplane_texts(self) -> AirplaneTexts:
        """Airplane files read and changed in memory."""
        return AirplaneTexts()

    def read_recording(self, name: str, data: bytes) -> Recording:
        """The track of a kept recording."""
        return read_recording(name, data)

    def airfield(self, name: str, text: str) -> Airfield:
        """An airfield as its text describes it."""
        from volplane.adapters.toml.source import NamedText

        return library().airfield_of(NamedText(name, text))

    def made_text(self, values: Mapping[str, str]) -> str:
        """A file made of typed values."""
        from volplane.adapters.toml.made_texts import text_of

        return text_of(values)

    def find_airfields(self, text: str, most: int) -> AirfieldsFound:
        """What the table of runway ends answers."""
        return find_airfields(text, most)

    def airfield_text(self, found: FoundAirfield, origin: TableOrigin, notes: Mapping[str, Sequence[str]]) -> str:
        """An airfield of the table as a file."""
        return airfield_text(found, origin, notes, found.published.name)

    def keep_sent(
        self, texts: ExerciseTexts, sent: Sent, document: Callable[[Debrief], str]
    ) -> tuple[KeptDebrief, Debrief | None]:
        """Debrief a recording against an exercise and keep both."""
        from dataclasses import replace

        from volplane.services.column_maps import kept_map_text
        from volplane.services.sent_recordings import Debriefing, keep_sent

        store = self.shelf.store
        seen = self.columns_seen(sent.file_name, sent.data)
        sent = replace(sent, column_map_text=kept_map_text(store, [each.title for each in seen]) if seen else None)
        column_map = _column_map(sent.column_map_text)

        def read(name: str, data: bytes) -> Recording:
            return read_recording(name, data, column_map)

        how = Debriefing(read, _debrief_of_texts, document, self.code_version)
        return keep_sent(store, texts, sent, how, self.now_unix_s())

    def columns_seen(self, file_name: str, data: bytes) -> tuple[SeenColumn, ...]:
        """The columns of a table as they stand there; nothing for what is no table."""
        from volplane.adapters.formats.columns_seen import columns_seen

        return columns_seen(file_name, data)

    def keep_column_map(self, titles: Sequence[str], column_map: ColumnMap) -> FileText:
        """Keep what the columns of a table with these titles mean. :raises FilesRefused: it cannot be read back."""
        from volplane.services.column_maps import map_name
        from volplane.services.keeping import keep_text
        from volplane.services.kept import FileKind

        text = column_map_text(column_map)
        _column_map(text)
        return keep_text(self.shelf.store, FileKind.COLUMN_MAP, map_name(titles), text, self.now_unix_s())

    def what_if(self, attempt: Attempt, time_s: float, actions: Actions) -> FlownOn:
        """An exercise flown, flown on from one of its seconds with other actions or in other wind."""
        return what_if(attempt, time_s, actions)

    def export_person(self, key: str) -> bytes:
        """What belongs to a person as open files in one archive."""
        from volplane.adapters.store.copies import export_archive
        from volplane.services.forgetting import export_of
        from volplane.services.kept import Person

        with self.shelf.store.snapshot() as reader:
            return export_archive(self._engine, export_of(reader, reader.get(Person, key)))

    def debrief_again(self, kept: KeptDebrief) -> Debrief:
        """A kept debrief made again from its recording, its texts and its options."""
        with self.shelf.store.snapshot() as reader:
            return debrief_again(reader, kept)


def recordings_below(folder: pathlib.Path) -> tuple[str, ...]:
    """The files below a folder, as paths within it. :raises FilesRefused: it cannot be read."""
    from volplane.adapters.recording_folder import files_below

    return files_below(folder)


def watched_folder(folder: pathlib.Path) -> WatchedFolder:
    """A folder to be looked at again and again for files that came and are whole."""
    from volplane.adapters.recording_folder import WatchedFolder

    return WatchedFolder(folder)


def results_journal(path: pathlib.Path, seen: Callable[[dict[str, Any]], bool] | None) -> Journal:
    """A new file of JSON lines; with `seen` one that is gone on with, see `adapters.journal`."""
    from volplane.adapters.journal import new_journal, resumed_journal

    return new_journal(path) if seen is None else resumed_journal(path, seen)


def each_recording(
    folder: pathlib.Path,
    paths: Sequence[str],
    make: Callable[[], Callable[[Task], Answered[A]]],
    workers: int,
    met_before: Mapping[str, str],
    known: Callable[[str, str], Result[A] | None],
) -> Generator[Result[A], None, None]:
    """What becomes of each file of a folder in processes that do what `make` gives; see `results`."""
    from volplane.adapters.recording_file import read_file
    from volplane.adapters.worker_pool import WorkerPool
    from volplane.services.many_recordings import results

    with WorkerPool(make, workers) as pool:
        yield from results(paths, lambda path: read_file(folder / path), pool, time.sleep, met_before, known)


def each_for_store(
    folder: pathlib.Path,
    paths: Sequence[str],
    make: Callable[[], Callable[[Task], Answered[Prepared]]],
    workers: int,
    store: Store,
    sender: Sender,
    *,
    is_again: bool,
) -> Generator[Result[Prepared], None, None]:
    """The same for a store: what it knows needs no work; nothing is kept here."""
    from volplane.services.importing import known_before

    def known(path: str, sha256: str) -> Result[Prepared] | None:
        return known_before(store, sender, path, sha256, is_again=is_again)

    return each_recording(folder, paths, make, workers, {}, known)


def prepare_for_store(sender: Sender, task: Task, document: Callable[[Debrief], str]) -> Prepared:
    """A recording read and debriefed, to be kept by whoever holds the store. :raises Refusal: it cannot be."""
    from volplane.adapters.formats.columns_seen import columns_seen
    from volplane.services.importing import prepared
    from volplane.services.sent_recordings import Debriefing

    def debriefing(map_text: str | None) -> Debriefing:
        column_map = _column_map(map_text)
        return Debriefing(
            lambda name, data: read_recording(name, data, column_map), _debrief_of_texts, document, __version__
        )

    titles = tuple(each.title for each in columns_seen(task.name, task.data))
    return prepared(sender, task, titles, debriefing)


def _column_map(text: str | None) -> ColumnMap | None:
    """The column map of a text. :raises FilesRefused: with every problem in it."""
    from volplane.adapters.column_map_file import column_map_of

    return None if text is None else column_map_of("column map", text.encode())


def _debrief_of_texts(recording: Recording, texts: ExerciseTexts, options: DebriefOptions) -> Debrief:
    from volplane.adapters.magnetic import WorldMagneticModel
    from volplane.adapters.toml.library import TomlLibrary

    exercise = TomlLibrary(WorldMagneticModel(), options.now_unix_s).exercise_held(dict(texts.texts), texts.name)
    return debrief_read(recording, exercise, wind=options.wind, qnh_pa=options.qnh_pa)


def house(named: str | None = None, exercise: pathlib.Path | None = None) -> House:
    """The workbench's house over the store that is named; an exercise file given is taken onto its shelf.

    :raises StoreUnusable: the store cannot be opened.
    :raises FilesRefused: the exercise cannot be used.
    """
    from volplane.adapters.store.store import open_store

    texts = {} if exercise is None else texts_of(exercise)
    made = House(open_store(store_place(named)))
    if texts:
        _onto_shelf(made, texts)
    return made


def demo_house(folder: pathlib.Path, document: Callable[[Debrief], str]) -> House:
    """The demo's house in a store of its own: its three files and its lessons, debriefed, with invented people.

    :raises StoreUnusable: the store cannot be made there.
    """
    from volplane.adapters.store.store import open_store
    from volplane.services.kept import Person, Role
    from volplane.services.sent_recordings import Sent

    made = House(open_store(str(folder / "demo.sqlite")))
    store, files = made.shelf.store, demo_texts()
    _onto_shelf(made, files)
    if store.find(Person):
        return made
    exercise = made.shelf.exercise(made.shelf.exercises()[0].file.key)
    people: dict[str, str] = {}
    for recording in demo_recordings():
        for name, role in ((recording.trainee, Role.TRAINEE), (recording.instructor, Role.INSTRUCTOR)):
            if name not in people:
                people[name] = store.change([Person(store.new_key(), name, role, made.now_unix_s())])[0].key
        sent = Sent(recording.file_name, recording.data, people[recording.trainee], people[recording.instructor])
        made.keep_sent(exercise, sent, document)
    return made


def _onto_shelf(made: House, texts: Mapping[str, str]) -> None:
    """Keep an exercise and the two files it names, in that order of `texts`."""
    from volplane.services.keeping import keep_text
    from volplane.services.kept import FileKind

    kinds = (FileKind.EXERCISE, FileKind.AIRPLANE, FileKind.AIRFIELD)
    for kind, (name, text) in zip(kinds, texts.items(), strict=True):
        keep_text(made.shelf.store, kind, name, text, made.now_unix_s())
