"""A workbench for tests of the pages: the hand-made plan and debrief, with fields that really are read."""

from __future__ import annotations

import asyncio
import atexit
import concurrent.futures
import dataclasses
import pathlib
import re
import shutil
import tempfile
import time
from collections.abc import Callable, Iterable, Mapping
from typing import Any, ClassVar

import httpx
import numpy as np

from tests.faces import asked, fixtures, measurements
from volplane import bootstrap
from volplane.adapters.store.store import open_store
from volplane.bootstrap import BenchField, House
from volplane.domain.airplane.stand_in import StandInNotPossible
from volplane.domain.atmosphere.atmosphere import Atmosphere
from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.debrief.results import Debrief, Outcome
from volplane.domain.exercise.dispersion import DispersionStopped
from volplane.domain.exercise.exercise import Exercise
from volplane.domain.exercise.plan import Plan
from volplane.domain.finding import Finding
from volplane.domain.track.track import AltitudeSource, Track
from volplane.errors import FilesRefused, Problem, Refusal, WindNotBelowAirspeed
from volplane.faces.documents.debrief import debrief_document
from volplane.faces.documents.quantities import as_text
from volplane.faces.web.app import create_app
from volplane.services.checking import CheckedFile, Contradiction
from volplane.services.keeping import keep_recording
from volplane.services.keeping_debriefs import DebriefOptions, attempt_records
from volplane.services.kept import FileKind, FileText, InstructorFile, KeptDebrief, KeptRecording, Person, Role
from volplane.services.measured_file import MeasuredFile
from volplane.services.recordings import Recording
from volplane.services.sent_recordings import Debriefing, Sent, keep_sent
from volplane.services.shelf import ExerciseTexts
from volplane.services.standing_in import StandInAnswer
from volplane.units import KNOT_MPS, kg_from_lb, m_from_ft, mps_from_kt, pa_from_inhg, rad_from_deg

UNITS = {
    "weight": ("lb", 100.0, 3650.0),
    "high_key_turn_bank": ("deg", 5.0, 45.0),
    "base_turn_bank": ("deg", 5.0, 45.0),
    "touchdown_point": ("ft", 0.0, 4400.0),
    "reserve": ("ft", 0.0, 1000.0),
    "qnh": ("inHg", 27.0, 32.0),
    "temperature": ("degC", -40.0, 50.0),
    "break_off_height": ("ft", 200.0, 1500.0),
    "entry_height": ("ft", 500.0, 10000.0),
    "low_key_height": ("ft", 500.0, 5000.0),
    "low_key_offset": ("NM", 0.2, 3.0),
}
FIELDS = (
    BenchField("wind_0", "240 deg 8 kt", 0.0),
    BenchField("wind_1", "270 deg 18 kt", m_from_ft(3000.0)),
    BenchField("weight", "3,350 lb"),
    BenchField("high_key_turn_bank", "20 deg"),
    BenchField("base_turn_bank", "25 deg"),
    BenchField("touchdown_point", "1,000 ft"),
    BenchField("reserve", "100 ft"),
    BenchField("qnh", "30.05 inHg"),
    BenchField("temperature", "18 degC"),
    BenchField("break_off_height", "500 ft"),
    BenchField("runway", "25", is_seldom=True, choices=("25", "07")),
    BenchField("pattern", "left", is_seldom=True, choices=("left", "right")),
    BenchField("entry_height", "2,500 ft", is_seldom=True),
    BenchField("low_key_height", "1,500 ft", is_seldom=True),
    BenchField("low_key_offset", "", is_seldom=True),
)
NO_RECORDING = b"This is no recording."
NOW_UNIX_S = 1_778_767_200.0
# three fixes are a track; what it shows the fixture's debrief says
TRACK = Track(NOW_UNIX_S, np.arange(3.0), np.full(3, 44.0), np.full(3, -40.0), None, AltitudeSource.GPS)


class RecordingRefused(Refusal):
    """The bytes are no recording."""

    code = "fixture-no-recording"


@dataclasses.dataclass
class FixtureWorkbench:
    """Answers like the real one, instantly; `plans` and `debriefs` count what was asked."""

    findings: tuple[Finding, ...] | None = None
    feasible: bool = True
    contradicts: bool = False
    can_stand_in: bool = True
    plans: int = 0
    debriefs: int = 0
    measurements: int = 0
    flown: int = 0
    flights_at_once: int = 500
    pause_s: float = 0.02
    own_fault: ClassVar[str] = "boom"

    def exercise_fields(self) -> tuple[BenchField, ...]:
        return FIELDS

    def exercise(self, changes: Mapping[str, str]) -> Exercise:
        values, problems = _read({field.key: field.text for field in FIELDS} | dict(changes))
        if problems:
            raise FilesRefused(tuple(problems))
        return _exercise(fixtures.plan(), values)

    def checked_airplane(self) -> CheckedFile:
        figures = (Contradiction(("glide.sink", "glide.best_speed", "glide.ratio"), "sink_mps", 6.9, 5.81),)
        return CheckedFile("airplane.toml", "airplane", 5.81, figures if self.contradicts else (), ())

    def stand_in(self, changes: Mapping[str, str]) -> StandInAnswer:
        if not self.can_stand_in:
            raise StandInNotPossible("gear and approach flap", pa_from_inhg(31.0), pa_from_inhg(27.5))
        return measurements.stand_in_answer(self.exercise(changes))

    def measured(self, file_name: str, data: bytes, changes: Mapping[str, str]) -> MeasuredFile:
        self.measurements += 1
        if data == NO_RECORDING:
            raise FilesRefused((_no_recording(file_name),))
        return measurements.measured_file(self.exercise(changes), data.decode())

    def plan(self, changes: Mapping[str, str]) -> Plan:
        self.plans += 1
        values, problems = _read({field.key: field.text for field in FIELDS} | dict(changes))
        if problems:
            raise FilesRefused(tuple(problems))
        if values["reserve"] == 999.0:
            raise ZeroDivisionError(self.own_fault)
        wind_kt = values["wind_0"][1]
        if wind_kt * KNOT_MPS >= mps_from_kt(104.0):
            raise WindNotBelowAirspeed(mps_from_kt(wind_kt), mps_from_kt(104.0), 10.0)
        # more wind, higher low key: invented, but it moves
        low_key_ft = values["low_key_height"] + 10.0 * (wind_kt - 8.0)
        shape = dataclasses.replace(fixtures.MOCK_SHAPE, heights_ft=(values["entry_height"], low_key_ft, 810.0, 390.0))
        plan = fixtures.plan(shape=shape, findings=self.findings, feasible=self.feasible)
        return dataclasses.replace(plan, exercise=_exercise(plan, values))

    def drawn(self, changes: Mapping[str, str]) -> Plan:
        return dataclasses.replace(self.plan(changes), findings=(), levers=(), fine_pitch=None)

    def compared(self, changes: Mapping[str, str]) -> Plan:
        return dataclasses.replace(self.plan(changes), comparison=asked.comparison())

    def with_ways(self, changes: Mapping[str, str]) -> Plan:
        plan = self.plan(changes)
        return dataclasses.replace(plan, ways=asked.ways() if plan.feasible else ())

    def dispersed(self, changes: Mapping[str, str], runs: int, seed: int, progress: Callable[[int, int], bool]) -> Plan:
        plan = self.plan(changes)
        if not plan.feasible:
            return plan
        for done in range(0, runs, self.flights_at_once):
            self.flown = done
            if progress(done, runs):
                raise DispersionStopped(done, runs)
            time.sleep(self.pause_s)
        self.flown = runs
        return dataclasses.replace(plan, dispersion=asked.dispersion(runs, seed))

    def debrief(self, file_name: str, data: bytes, changes: Mapping[str, str]) -> Debrief:
        self.debriefs += 1
        if data == NO_RECORDING:
            raise FilesRefused((_no_recording(file_name),))
        if data == b"":
            return dataclasses.replace(fixtures.debrief(), attempts=())
        return fixtures.debrief(fixtures.attempt(), fixtures.attempt(outcome=Outcome.WENT_AROUND))


class FixtureHouse(House):
    """The real house over a store of its own, with one exercise whose keys are words, and the fixture's answers."""

    def __init__(self, bench: FixtureWorkbench) -> None:
        self.folder = pathlib.Path(tempfile.mkdtemp())
        atexit.register(shutil.rmtree, self.folder, ignore_errors=True)
        super().__init__(open_store(str(self.folder / "fixture.sqlite")))
        self.bench = bench
        self.code_version = "fixture"
        self._furnish()

    def _furnish(self) -> None:
        texts = bootstrap.demo_texts()
        kinds = ((FileKind.EXERCISE, "quill"), (FileKind.AIRPLANE, "dunlin"), (FileKind.AIRFIELD, "meadow"))
        for (kind, key), (name, text) in zip(kinds, texts.items(), strict=True):
            file = InstructorFile(key, kind, name)
            self.shelf.store.change([file, FileText(f"{key}-1", key, 1, text, NOW_UNIX_S)])
        people = [
            Person("mara", "Mara Quist", Role.TRAINEE, NOW_UNIX_S),
            Person("tobias", "Tobias Lund", Role.INSTRUCTOR, NOW_UNIX_S),
        ]
        self.shelf.store.change(people)
        for number, key in enumerate(("low", "high")):
            self._keep_debrief(key, f"quist-{key}.csv", NOW_UNIX_S + 60.0 * number)

    def _keep_debrief(self, key: str, file_name: str, now_unix_s: float) -> None:
        """A debrief under a word, so that a test can name its page."""
        store, texts, data = self.shelf.store, self.shelf.exercise("quill"), key.encode()
        debrief = self.bench.debrief(file_name, data, {})
        recording = keep_recording(store, file_name, data, "fixture", now_unix_s, start_unix_s=now_unix_s)
        kept = KeptDebrief(
            key=key,
            recording=recording.key,
            exercise_text=texts.exercise.key,
            airplane_text=texts.airplane.key,
            airfield_text=texts.airfield.key,
            options=DebriefOptions(now_unix_s).to_text(),
            document=as_text(debrief_document(debrief)),
            code_version=self.code_version,
            made_unix_s=now_unix_s,
            trainee="mara",
            instructor="tobias",
        )
        store.change([kept, *attempt_records(key, debrief, store.new_key)])

    def workbench(self, texts: ExerciseTexts) -> FixtureWorkbench:  # type: ignore[override]
        return self.bench

    def level_workbench(self, airplane_name: str, airplane_text: str) -> FixtureWorkbench:  # type: ignore[override]
        return self.bench

    def keep_sent(
        self, texts: ExerciseTexts, sent: Sent, document: Callable[[Debrief], str]
    ) -> tuple[KeptDebrief, Debrief | None]:
        def read(file_name: str, data: bytes) -> Recording:
            problems = (_no_recording(file_name),) if data == NO_RECORDING else ()
            return Recording(None if problems else TRACK, "fixture", "", problems)

        def debriefed(recording: Recording, texts: ExerciseTexts, options: DebriefOptions) -> Debrief:
            return self.bench.debrief(sent.file_name, sent.data, {})

        how = Debriefing(read, debriefed, document, self.code_version)
        return keep_sent(self.shelf.store, texts, sent, how, NOW_UNIX_S)

    def debrief_again(self, kept: KeptDebrief) -> Debrief:
        recording = self.shelf.store.get(KeptRecording, kept.recording)
        return self.bench.debrief(recording.name, self.shelf.store.original(kept.recording), {})


def _no_recording(file_name: str) -> Problem:
    said, expected = '"This is no recording."', "a CSV or GPX recording"
    return Problem(file_name, "line 1", said, expected, "Export it again.", "no-recording")


class Browser:
    """Asks an application in this process, one request at a time, as a browser on this machine would."""

    def __init__(
        self, workbench: FixtureWorkbench, allowed_hosts: Iterable[str] = (), base_url: str = "http://127.0.0.1:8000"
    ):
        self.house = FixtureHouse(workbench)
        self.app = create_app(self.house, allowed_hosts=allowed_hosts)
        self.base_url = base_url

    def ask(self, method: str, path: str, **options: Any) -> httpx.Response:
        """One request; redirects are not followed, faults of the application come back as its answer."""

        async def asked() -> httpx.Response:
            transport = httpx.ASGITransport(app=self.app, raise_app_exceptions=False)
            async with httpx.AsyncClient(transport=transport, base_url=self.base_url) as client:
                return await client.request(method, path, **options)

        # in a thread of its own: a browser test of the same run may have a loop running in this one
        with concurrent.futures.ThreadPoolExecutor(1) as thread:
            return thread.submit(lambda: asyncio.run(asked())).result()

    def get(self, path: str, **options: Any) -> httpx.Response:
        """Read."""
        return self.ask("GET", path, **options)

    def post(self, path: str, **options: Any) -> httpx.Response:
        """Send."""
        return self.ask("POST", path, **options)


def _exercise(plan: Plan, values: dict[str, object]) -> Exercise:
    air = plan.exercise.weather.atmosphere
    levels = [
        (height_m, rad_from_deg(values[key][0]), mps_from_kt(values[key][1]))  # type: ignore[index]
        for key, height_m in (("wind_0", 0.0), ("wind_1", m_from_ft(3000.0)))
    ]
    atmosphere = Atmosphere(air.field_elevation_msl_m, values["temperature"] + 273.15, pa_from_inhg(values["qnh"]))  # type: ignore[operator, arg-type]
    weather = dataclasses.replace(plan.exercise.weather, atmosphere=atmosphere, wind=WindProfile.from_levels(levels))
    return dataclasses.replace(plan.exercise, weather=weather, weight_kg=kg_from_lb(values["weight"]))  # type: ignore[arg-type]


def _read(texts: Mapping[str, str]) -> tuple[dict, list[Problem]]:  # type: ignore[type-arg]
    values: dict = {}  # type: ignore[type-arg]
    problems = []
    for key, text in texts.items():
        if not text or key in ("runway", "pattern"):
            continue
        if key.startswith("wind_"):
            match = re.fullmatch(r"(\d{1,3}) deg (\d{1,3}) kt", text)
            values[key] = (float(match[1]), float(match[2])) if match else None
            expected, remedy = "a direction and a speed", 'Write "240 deg 8 kt".'
        else:
            unit, low, high = UNITS[key]
            match = re.fullmatch(rf"(-?[\d,.]+) ?{unit}", text)
            value = float(match[1].replace(",", "")) if match else None
            values[key] = value if value is not None and low <= value <= high else None
            expected, remedy = f"{low:g} to {high:g} {unit}", f'Write "{low:g} {unit}".'
        if values[key] is None:
            problems.append(Problem("exercise", key, f'"{text}"', expected, remedy, "fixture"))
    return values, problems
