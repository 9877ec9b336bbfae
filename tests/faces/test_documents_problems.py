"""Refusals in words: every cause has a sentence with value, unit, limit and next step."""

from __future__ import annotations

import importlib
import math
import pathlib
import re

import pytest

import volplane
from volplane import units
from volplane.adapters.magnetic import OutsideMagneticModel
from volplane.domain.airplane.airspeed_calibration import CalibrationNotUsable
from volplane.domain.airplane.measured_glide import GlideSpeedsTooClose, GlidesTooFew
from volplane.domain.airplane.stand_in import StandInNotPossible
from volplane.domain.atmosphere.refusals import (
    AirspeedNotSensible,
    LegsDoNotDetermineWind,
    OutsideTroposphere,
    PressureNotSensible,
    TemperatureNotSensible,
    WindLevelsWrong,
)
from volplane.domain.debrief.kneeboard import NoGateNoted
from volplane.domain.debrief.refusals import RecordingFarFromAirfield, RecordingWithoutAltitude
from volplane.domain.debrief.standards import StandardUnknown
from volplane.domain.debrief.what_if import AirNotKnown, NotFlownThen
from volplane.domain.exercise.dispersion import DispersionStopped
from volplane.domain.finding import Finding, Severity
from volplane.domain.geometry.airfield import RunwayUnknown
from volplane.domain.geometry.angles import DirectionsHaveNoMean, TrackCannotBeHeld
from volplane.domain.geometry.local_frame import PlaceOffTheEarth, PlaceOutsideFrame
from volplane.domain.glide.polar import BestGlideNotCovered, MeasuredSpeedsTooFew, PolarNotSensible
from volplane.domain.glide.stall import BankLeavesTooLittleMargin
from volplane.domain.glide.touchdown import DoesNotTouchDown, TouchdownNotSlowerThanApproach
from volplane.domain.glide.turning import NoSteadyGlide
from volplane.errors import FilesRefused, Problem, Refusal, WindNotBelowAirspeed
from volplane.faces.documents import problems
from volplane.faces.documents.wording import METRIC, NO_BREAK_SPACE
from volplane.faces.report.refusals import CardNeedsReason, CardStopped, CardTooLong
from volplane.faces.web.serving import PortTaken
from volplane.services.airfields import AirfieldNotPlaced, AirfieldUnknown, SeveralAirfields
from volplane.services.keeping import (
    AdoptionNeedsReason,
    ChangedMeanwhile,
    NothingLearned,
    NotKeepable,
    NotKept,
    StoreFault,
    StoreUnusable,
)
from volplane.services.measuring import AirspeedNotRecorded, NoSteadyGlides
from volplane.services.quantities import QuantityNotUnderstood
from volplane.services.standing_in import StandInConfigurationUnknown, WeightNotFlown

KT, FT, IN = units.KNOT_MPS, units.FOOT_M, units.INCH_OF_MERCURY_PA

SENTENCES: list[tuple[Refusal, str]] = [
    (
        StoreUnusable("lessons.sqlite", StoreFault.FULL, "database or disk is full"),
        "No room for the store lessons.sqlite (database or disk is full); expected room on its disk. Nothing was "
        "changed; free some room and try again.",
    ),
    (
        NothingLearned("dunlin_tourer.toml", 3),
        "Nothing learned about dunlin_tourer.toml; expected a flight with speed, power and configuration recorded. See "
        "at each flight why it teaches nothing.",
    ),
    (
        AdoptionNeedsReason("no reason given"),
        "No reason; expected why this glide is to count from now on. Write it in a sentence; it is kept with the "
        "glide.",
    ),
    (
        NotKept("person", "MQ"),
        'No person "MQ" in the store; expected one that is kept. Look at the list again.',
    ),
    (
        ChangedMeanwhile("teaching_flight", "a1"),
        "A change by somebody else of the same teaching flight. Nothing was changed; look at it as it is now, and do "
        "it again.",
    ),
    (
        NotKeepable("note", "text"),
        "Something in text of this note that cannot be kept; expected text without control letters, and numbers. Type "
        "it anew.",
    ),
    (
        AirfieldUnknown("quill", "2026-02-28"),
        'Nothing for "quill" in the table of runway ends of 2026-02-28; expected a code, a name, or parts of a name or '
        "place. Write less of it; a field that no table knows is written by hand, with the positions of both runway "
        "ends.",
    ),
    (
        SeveralAirfields("meadow", ("ZZQA", "ZZQB")),
        'Two airfields for "meadow"; expected one, of which the file is to be. Write its code, such as ZZQA or ZZQB.',
    ),
    (
        AirfieldNotPlaced("ZZQM", "Quill Meadow", "runway end"),
        "No runway of Quill Meadow (ZZQM) with sound positions; expected the positions of both ends in the table. "
        "Write the airfield file by hand, with the positions of threshold and end of the runway.",
    ),
    (
        AirfieldNotPlaced("ZZQM", "Quill Meadow", "elevation"),
        "No elevation of Quill Meadow (ZZQM) in the table; expected its elevation. "
        "Write the airfield file by hand, with the positions of threshold and end of the runway.",
    ),
    (
        GlidesTooFew(2, 4, {"climbing": 3, "power-on": 1}),
        "Two clean glides that can be used (left out: 3 that do not come down and 1 with power on); expected four "
        "glides or more. Fly more glides with power off, clean, both ways; see whether start and end heights are "
        "exchanged.",
    ),
    (
        GlideSpeedsTooClose(95 * KT, 104 * KT, 3),
        "Glides from 95 kt to 104 kt, too close together; expected speeds of which the fastest is 1.15 times the "
        "slowest, better 1.6 times. Fly slower and faster glides too, some below and some above the best speed.",
    ),
    (
        AirspeedNotRecorded("phone.gpx"),
        "No airspeed in phone.gpx; expected a recording with airspeed, or glides marked with the speed that was flown. "
        'Mark each glide: --window "09:02:10-09:04:00 95 kt", or write a table of points.',
    ),
    (
        NoSteadyGlides("morning.csv", 40.0),
        "No steady descent in morning.csv; expected 40 s or more at one speed, wings level, coming down. Fly longer "
        "glides, or mark them with --window.",
    ),
    (
        DispersionStopped(2000, 24_000),
        "A wish to stop after 2,000 of 24,000 flights; expected all of them to be flown. "
        "Ask again when there is time for them.",
    ),
    (
        WindNotBelowAirspeed(120 * KT, 104 * KT, 2600 * FT),
        "A wind of 120 kt at 2,600 ft above the field; expected well below the airspeed, 104 kt. "
        "Check the wind and its unit; in such a wind no glide comes back.",
    ),
    (
        QuantityNotUnderstood('"3650" without a unit', "a weight in lb or kg", 'Write "3650 lb".', "unit"),
        '"3650" without a unit; expected a weight in lb or kg. Write "3650 lb".',
    ),
    (
        TrackCannotBeHeld(math.radians(270), 100 * KT, 110 * KT),
        "A wind of 110 kt, too strong to hold a track of 270°; expected less than the true airspeed, 100 kt, across "
        "and against it. Check the wind, or fly on a day with less.",
    ),
    (
        DirectionsHaveNoMean(2),
        "Two directions without a mean direction; expected directions that do not cancel out. Check the directions.",
    ),
    (
        RunwayUnknown("18", "Quill Meadow", ("25", "07")),
        'Runway "18"; expected a runway of Quill Meadow. Write "25" or "07".',
    ),
    (
        PlaceOffTheEarth(91.0, 0.0),
        "Latitude 91.0000, longitude 0.0000; expected a latitude within 90 and a longitude within 180 degrees. "
        "Check the position.",
    ),
    (
        PlaceOutsideFrame(2000 * 1852.0, 500 * 1852.0),
        "A place 2,000.00 NM from the touchdown point; expected at most 500.00 NM. "
        "Check the position of the runway and of the recording.",
    ),
    (
        RecordingFarFromAirfield("Quill Meadow", 40 * 1852.0, 10 * 1852.0),
        "A recording that comes no nearer to Quill Meadow than 40.00 NM; expected a flight within 10.00 NM of it. "
        "Choose the airfield it was flown at, or another recording.",
    ),
    (
        NoGateNoted(("low key", "base key", "final")),
        "Readings at none of this exercise's gates; expected low key, base key or final. "
        "Write the name of a gate in the first column.",
    ),
    (
        StandardUnknown("club", ("lesson", "steep spiral")),
        '"club" as a standard; expected "lesson" or "steep spiral". Name one of them, or give a file of your own.',
    ),
    (
        AirNotKnown(),
        "No wind in this exercise; expected a flight that turned by 120° or more, or a wind given by hand. Give the "
        "wind with --wind.",
    ),
    (
        NotFlownThen(812.0, 51.0, 174.0),
        "A moment 812 s into the recording; expected one in the glide, 51 to 174 s into it and above 50 ft. Choose a "
        "moment between the entry and the round-out.",
    ),
    (
        RecordingWithoutAltitude(420),
        "420 fixes and not one altitude; expected a recording with altitudes. Export it again with altitude.",
    ),
    (
        OutsideTroposphere(40000 * FT, 0.0, 36000 * FT),
        "An altitude of 40,000 ft; expected 0 ft to 36,000 ft. Check elevation, heights and altimeter setting.",
    ),
    (
        TemperatureNotSensible(units.k_from_degc(99.0), units.k_from_degc(-60.0), units.k_from_degc(60.0)),
        "A temperature of 99 °C; expected \u221260 °C to 60 °C. Check the temperature and its unit.",
    ),
    (
        PressureNotSensible(units.pa_from_inhg(3.01), units.pa_from_inhg(25.1), units.pa_from_inhg(32.1)),
        "An altimeter setting of 3.01 in; expected 25.10 in to 32.10 in. Check the setting and its unit.",
    ),
    (
        AirspeedNotSensible(700 * KT, 600 * KT),
        "An airspeed of 700 kt; expected 0 to 600 kt. Check the speed and its unit.",
    ),
    (
        WindLevelsWrong("wind levels do not rise", (300 * FT, 300 * FT)),
        "Wind levels that make no profile (wind levels do not rise: 300 ft and 300 ft); expected one wind a height, "
        "the lowest first. Sort the levels and check their heights.",
    ),
    (
        LegsDoNotDetermineWind("the legs are too alike", 3),
        "Three legs that give no wind (the legs are too alike); expected three legs or more, well apart in direction, "
        "at one airspeed. Fly or choose other legs.",
    ),
    (
        CalibrationNotUsable("temperature", 90 * KT),
        "No temperature of the air at 90 kt indicated, so no table of corrections; expected each speed with its "
        "calibrated airspeed, growing. Say it: --temperature.",
    ),
    (
        PolarNotSensible("best glide speed", -5 * KT, 0.0),
        "A best glide speed of \u22125 kt; expected more than 0 kt. Check the figures of the glide.",
    ),
    (
        PolarNotSensible("weight", -100 * units.POUND_KG, 0.0),
        "A weight of \u2212100 lb; expected more than 0 lb. Check the figures of the glide.",
    ),
    (
        PolarNotSensible("glide ratio", 0.5, 1.0),
        "A glide ratio of 0.50; expected more than 1.00. Check the figures of the glide.",
    ),
    (
        MeasuredSpeedsTooFew(2, 3),
        "A glide measured at two different speeds; expected three speeds or more. Fly glides at other speeds too.",
    ),
    (
        BestGlideNotCovered(90 * KT, 90 * KT, 130 * KT),
        "Glides measured from 90 kt to 130 kt, best at the slowest; expected a best glide between the slowest and the "
        "fastest. Fly a glide slower than that.",
    ),
    (
        DoesNotTouchDown(88 * KT, 65 * KT, 0.0, 0.0),
        "A landing from 88 kt to 65 kt that does not come to the runway; expected an airplane that comes down from "
        "50 ft and slows down over the runway. Check the drag of the landing configuration, both landing speeds "
        "and the wind.",
    ),
    (
        TouchdownNotSlowerThanApproach(88 * KT, 90 * KT),
        "A touchdown speed of 90 kt; expected less than the approach speed, 88 kt. Check both speeds.",
    ),
    (
        NoSteadyGlide(300 * KT, math.radians(30), 1.2),
        "A speed of 300 kt at a bank of 30°, at which drag exceeds the weight; expected a speed at which the airplane "
        "glides. Fly slower, or check the drag of the configuration.",
    ),
    (
        # 68 kt stall at 45 degrees: 68 x 1.189 = 80.9 kt; 85 kt is 5 % above (textbook: one over root of the cosine)
        BankLeavesTooLittleMargin(math.radians(45), 85 * KT, 68 * KT, 0.1),
        "A bank of 45° at 85 kt, 5 % above the stall in that turn (81 kt); expected 10 % or more. "
        "Bank 39° or less, or fly faster.",
    ),
    (
        OutsideMagneticModel(2041.3, 2015.0, 2030.0),
        "A lesson in 2041; expected a day from 2015 to 2029, for which magnetic models exist. "
        'Write the variation into the airfield file: variation = "12 deg W".',
    ),
    (
        StandInNotPossible("gear and full flap", 32 * IN, 27 * IN),
        '"gear and full flap" as a stand-in, which would take 32.0 in; expected at most 27.0 in, the throttle being '
        "full there. Choose a configuration with less drag, or check its drag and the points.",
    ),
    (
        StandInNotPossible("clean", 2 * IN, 5 * IN),
        '"clean" as a stand-in, which would take 2.0 in; expected at least 5.0 in, the throttle being closed there. '
        "Choose a configuration with more drag, or check its drag and the points.",
    ),
    (
        StandInConfigurationUnknown("flap", ("gear and approach flap",)),
        '"flap" as a stand-in; expected a configuration with drag and the propeller coarse: "gear and approach flap". '
        "Name one of them, or add it to the airplane file.",
    ),
    (
        WeightNotFlown(5000 * units.POUND_KG, 1460 * units.POUND_KG, 3650 * units.POUND_KG),
        "A weight of 5,000 lb; expected 1,460 lb to 3,650 lb. Check the weight.",
    ),
    (
        CardStopped((Finding("aim-point-before-threshold", Severity.STOP, {"aim_m": -120 * FT}),), None),
        "No card is printed. The aim point lies 120 ft before the threshold. Move the touchdown point in by at least "
        "that. Change the exercise until nothing stops it.",
    ),
    (
        CardStopped((), None),
        "No card is printed. The exercise does not come out as wished. Change the exercise until nothing stops it.",
    ),
    (
        CardNeedsReason((Finding("weight-not-stated", Severity.CAUTION, {"weight_kg": 1650.0}),)),
        "The plan holds one caution and no reason is given. Say why it is flown all the same: --reason TEXT.",
    ),
    (
        CardTooLong("A5"),
        "The words for the card do not fit on one page of A5. Shorten the words, calls or reason.",
    ),
    (
        PortTaken("127.0.0.1", 8100, "it is in use"),
        "Port 8100 on 127.0.0.1 cannot be served: it is in use. Give another --port.",
    ),
]


@pytest.mark.parametrize(("refusal", "sentence"), SENTENCES, ids=lambda value: getattr(value, "code", ""))
def test_a_refusal_says_value_limit_and_what_to_do(refusal: Refusal, sentence: str) -> None:
    assert problems.refusal_sentence(refusal).replace(NO_BREAK_SPACE, " ") == sentence


def every_refusal() -> set[type[Refusal]]:
    """Every class of refusal in the package; only modules that define one are imported."""
    package = pathlib.Path(volplane.__file__).parent
    for source in sorted(package.rglob("*.py")):
        if re.search(r"^class \w+\(\w*(?:Refusal|Refused)\b", source.read_text(encoding="utf-8"), re.MULTILINE):
            importlib.import_module(".".join(("volplane", *source.relative_to(package).with_suffix("").parts)))
    found: set[type[Refusal]] = set()
    waiting = [Refusal]
    while waiting:
        for each in waiting.pop().__subclasses__():
            found.add(each)
            waiting.append(each)
    return {each for each in found if each.__module__.startswith("volplane.")}


def test_every_cause_of_a_refusal_has_words_and_an_example_here() -> None:
    classes = every_refusal()
    without_words = sorted(each.__qualname__ for each in classes if not problems.has_words(each.code))
    tried = {type(refusal) for refusal, _ in SENTENCES} | {FilesRefused}
    assert without_words == []
    assert sorted(each.__qualname__ for each in classes - tried) == []


def test_no_two_causes_share_a_code() -> None:
    codes = [each.code for each in every_refusal()]
    assert sorted(codes) == sorted(set(codes))


def test_units_of_the_reader_are_used() -> None:
    sentence = problems.refusal_sentence(WindNotBelowAirspeed(50.0, 45.0, 800.0), METRIC)
    assert "180\u00a0km/h at 800\u00a0m" in sentence


def test_a_bank_beyond_all_help_says_fly_faster() -> None:
    said = problems.said_of(BankLeavesTooLittleMargin(math.radians(20), 60 * KT, 68 * KT, 0.1))
    assert said.remedy == "Fly faster; at this speed not even straight flight keeps the margin."


def test_a_cause_without_words_still_says_what_it_knows() -> None:
    class Unheard(Refusal):
        code = "unheard-of"

    assert problems.refusal_sentence(Unheard("the moon is in the way")) == (
        "The moon is in the way. Check what was asked for."
    )


PROBLEM = Problem("a.toml", "name", "nothing", "a name", 'Write name = "x".', "key-missing")


def test_problems_of_files_come_one_a_line() -> None:
    refusal = FilesRefused((PROBLEM, PROBLEM))
    assert problems.refusal_sentence(refusal) == "\n".join([PROBLEM.sentence()] * 2)
    assert problems.problems_of(refusal) == (PROBLEM, PROBLEM)


def test_exit_codes_and_statuses_are_mapped_once() -> None:
    refusal = FilesRefused((PROBLEM,))
    assert [problems.exit_code(fault) for fault in (None, refusal, ZeroDivisionError())] == [0, 1, 3]
    assert [problems.http_status(fault) for fault in (refusal, ZeroDivisionError())] == [422, 500]
    too_large = Problem("r.gpx", "", "more than 64 MB", "a recording", "Cut it.", "recording-too-large")
    assert problems.http_status(FilesRefused((too_large,))) == 413
