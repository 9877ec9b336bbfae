"""A trainee's path over exercises and dates: what came out, what got better, and what to train next, with its evidence.

Nobody is compared with anybody, and nothing is added up into one figure. A timely go-around is a good decision and
stands apart from landings; what was discontinued is neither a success nor a failure and enters no figure.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from volplane.domain.debrief.results import Outcome
from volplane.domain.exercise.exercise import GateName
from volplane.services.keeping import Reader
from volplane.services.kept import KeptAttempt, KeptDebrief, KeptGate, KeptStandardItem
from volplane.services.robust import FEWEST, Middle, Trend, middle_of, trend_of
from volplane.units import KNOT_MPS

# what to train next is read from the latest exercises: older ones tell what was trained already; ours
LATEST = 8
# so many things to train are enough for the next lesson; ours
MOST_TOPICS = 3
LIGHT_BELOW_MPS = 8.0 * KNOT_MPS
STRONG_FROM_MPS = 15.0 * KNOT_MPS


class WindBand(StrEnum):
    """How strong the wind was that an exercise was flown in; the bounds are ours: 8 and 15 knots."""

    LIGHT = "light"
    MODERATE = "moderate"
    STRONG = "strong"
    UNKNOWN = "not known"


@dataclass(frozen=True, slots=True)
class FlownExercise:
    """An exercise a trainee flew, with its gates and the items of its standard; `debrief` is a key."""

    debrief: str
    attempt: KeptAttempt
    gates: tuple[KeptGate, ...] = ()
    items: tuple[KeptStandardItem, ...] = ()

    @property
    def touchdown_x_m(self) -> float | None:
        """Where it touched, beyond the touchdown point; None unless it was landed."""
        return self.attempt.touchdown_x_m if self.attempt.outcome == Outcome.LANDED else None

    @property
    def band(self) -> WindBand:
        """The wind it was flown in."""
        head, cross = self.attempt.headwind_mps, self.attempt.crosswind_mps
        if head is None or cross is None:
            return WindBand.UNKNOWN
        speed_mps = math.hypot(head, cross)
        if speed_mps < LIGHT_BELOW_MPS:
            return WindBand.LIGHT
        return WindBand.MODERATE if speed_mps < STRONG_FROM_MPS else WindBand.STRONG

    def gate_error_m(self, gate: GateName) -> float | None:
        """Height at a gate over the planned one."""
        found = self.gate(gate)
        return None if found is None or found.planned_m is None else found.height_m - found.planned_m

    def gate(self, gate: GateName) -> KeptGate | None:
        """The gate of that name, None where it was not flown."""
        return next((each for each in self.gates if each.gate == gate), None)


@dataclass(frozen=True, slots=True)
class Outcomes:
    """How many exercises ended how; `timely`, `late` and `unjudged` are the go-arounds."""

    landed: int
    timely: int
    late: int
    unjudged: int
    discontinued: int
    not_recorded: int


@dataclass(frozen=True, slots=True)
class GateProgress:
    """Heights at a gate against planned: the middle over all, how many of those with a window lay inside, the trend.

    `trend` is of the size of the error, whichever its sign.
    """

    gate: GateName
    count: int
    middle: Middle | None
    inside: int
    with_window: int
    trend: Trend | None


@dataclass(frozen=True, slots=True)
class ItemProgress:
    """An item of a standard: in how many exercises it was met, of those in which it could be observed."""

    item: str
    source: str
    met: int
    observed: int


@dataclass(frozen=True, slots=True)
class BandProgress:
    """Touchdowns in one band of wind; `middle` is None under five."""

    band: WindBand
    exercises: int
    touchdowns: int
    middle: Middle | None


class TopicKind(StrEnum):
    """What can be trained next."""

    GATE = "gate"
    HEIGHT_IN_HAND = "height in hand"
    LATE_GO_AROUND = "late go-around"
    STANDARD = "standard"


@dataclass(frozen=True, slots=True)
class Topic:
    """Something to train next and why: in `bad` of the latest `count` exercises it was not right.

    `middle` is the height or length it is about, where there is one; `name` the gate or the item.
    """

    kind: TopicKind
    bad: int
    count: int
    middle: Middle | None = None
    name: str = ""


@dataclass(frozen=True, slots=True)
class Improvement:
    """Something that got better: the size of an error falls, its whole interval below nought; no gate: touchdown."""

    gate: GateName | None
    trend: Trend


@dataclass(frozen=True, slots=True)
class Progress:
    """Everything the exercises of one trainee say; `exercises` in the order they were flown."""

    exercises: tuple[FlownExercise, ...]
    outcomes: Outcomes
    touchdowns: Middle | None
    touchdown_trend: Trend | None
    gates: tuple[GateProgress, ...]
    items: tuple[ItemProgress, ...]
    bands: tuple[BandProgress, ...]
    improved: tuple[Improvement, ...]
    topics: tuple[Topic, ...]

    @property
    def is_too_few(self) -> bool:
        """Whether there are too few exercises to say anything of a middle or a trend."""
        return len(self.counted) < FEWEST

    @property
    def counted(self) -> tuple[FlownExercise, ...]:
        """The exercises that figures are made of: all but the discontinued ones."""
        return tuple(each for each in self.exercises if _is_counted(each))


def exercises_of(reader: Reader, trainee: str) -> tuple[FlownExercise, ...]:
    """Every exercise a trainee flew, in the order they were flown.

    A recording that was debriefed more than once holds the same exercises each time: the latest debrief counts.
    """
    latest: dict[str, KeptDebrief] = {}
    for debrief in reader.find(KeptDebrief, trainee=trainee):
        known = latest.get(debrief.recording)
        if known is None or debrief.made_unix_s >= known.made_unix_s:
            latest[debrief.recording] = debrief
    found = [
        FlownExercise(
            debrief.key,
            attempt,
            reader.find(KeptGate, attempt=attempt.key),
            reader.find(KeptStandardItem, attempt=attempt.key),
        )
        for debrief in latest.values()
        for attempt in reader.find(KeptAttempt, debrief=debrief.key)
    ]
    return tuple(sorted(found, key=lambda each: each.attempt.start_unix_s))


def progress_of(exercises: Sequence[FlownExercise]) -> Progress:
    """What exercises, in the order they were flown, say of their trainee."""
    counted = [each for each in exercises if _is_counted(each)]
    touched = _known(each.touchdown_x_m for each in counted)
    touchdown_trend = trend_of([abs(each) for each in touched])
    gates = tuple(made for gate in GateName if (made := _gate(counted, gate)) is not None)
    trends = [*((each.gate, each.trend) for each in gates), (None, touchdown_trend)]
    return Progress(
        exercises=tuple(exercises),
        outcomes=_outcomes(exercises),
        touchdowns=middle_of(touched),
        touchdown_trend=touchdown_trend,
        gates=gates,
        items=_items(counted),
        bands=tuple(found for band in WindBand if (found := _band(counted, band)) is not None),
        improved=tuple(Improvement(gate, trend) for gate, trend in trends if trend is not None and trend.is_falling),
        topics=_topics(counted[-LATEST:]),
    )


def _is_counted(exercise: FlownExercise) -> bool:
    return exercise.attempt.outcome != Outcome.DISCONTINUED


def _known(values: Iterable[float | None]) -> list[float]:
    return [each for each in values if each is not None]


def _outcomes(exercises: Sequence[FlownExercise]) -> Outcomes:
    ended = [each.attempt.outcome for each in exercises]
    judged = [each.attempt.is_timely for each in exercises if each.attempt.outcome == Outcome.WENT_AROUND]
    return Outcomes(
        landed=ended.count(Outcome.LANDED),
        timely=judged.count(True),
        late=judged.count(False),
        unjudged=judged.count(None),
        discontinued=ended.count(Outcome.DISCONTINUED),
        not_recorded=ended.count(Outcome.NOT_RECORDED_TO_THE_END),
    )


def is_inside(gate: KeptGate) -> bool | None:
    """Whether a gate was passed inside its window, None where it has none."""
    if gate.lowest_m is None or gate.highest_m is None:
        return None
    return gate.lowest_m <= gate.height_m <= gate.highest_m


def _gate(exercises: Sequence[FlownExercise], name: GateName) -> GateProgress | None:
    errors = _known(each.gate_error_m(name) for each in exercises)
    flown = [gate for each in exercises if (gate := each.gate(name)) is not None]
    if not flown:
        return None
    inside = [verdict for gate in flown if (verdict := is_inside(gate)) is not None]
    trend = trend_of([abs(each) for each in errors])
    return GateProgress(name, len(errors), middle_of(errors), sum(inside), len(inside), trend)


def _items(exercises: Sequence[FlownExercise]) -> tuple[ItemProgress, ...]:
    found: dict[tuple[str, str], list[bool]] = {}
    for each in exercises:
        for item in each.items:
            judged = found.setdefault((item.item, item.source), [])
            if item.is_met is not None:
                judged.append(item.is_met)
    return tuple(ItemProgress(item, source, sum(met), len(met)) for (item, source), met in found.items())


def _band(exercises: Sequence[FlownExercise], band: WindBand) -> BandProgress | None:
    inside = [each for each in exercises if each.band is band]
    touched = _known(each.touchdown_x_m for each in inside)
    return BandProgress(band, len(inside), len(touched), middle_of(touched)) if inside else None


def _topics(latest: Sequence[FlownExercise]) -> tuple[Topic, ...]:
    """What was not right in at least half of the latest exercises, in the order in which an exercise is flown.

    What goes wrong first is first: it is often the reason for the rest. Under five exercises nothing is said.
    """
    if len(latest) < FEWEST:
        return ()
    candidates = [
        *(_gate_topic(latest, gate) for gate in GateName),
        _in_hand_topic(latest),
        _go_around_topic(latest),
        *_standard_topics(latest),
    ]
    return tuple(each for each in candidates if each is not None)[:MOST_TOPICS]


def _often(bad: int, count: int) -> bool:
    return count >= FEWEST and 2 * bad >= count


def _gate_topic(latest: Sequence[FlownExercise], name: GateName) -> Topic | None:
    flown = [gate for each in latest if (gate := each.gate(name)) is not None]
    judged = [verdict for gate in flown if (verdict := is_inside(gate)) is not None]
    outside = judged.count(False)
    if not _often(outside, len(judged)):
        return None
    middle = middle_of(_known(each.gate_error_m(name) for each in latest))
    return Topic(TopicKind.GATE, outside, len(judged), middle, name)


def _in_hand_topic(latest: Sequence[FlownExercise]) -> Topic | None:
    in_hand = _known(each.attempt.in_hand_m for each in latest)
    missing = sum(each < 0.0 for each in in_hand)
    if not _often(missing, len(in_hand)):
        return None
    return Topic(TopicKind.HEIGHT_IN_HAND, missing, len(in_hand), middle_of(in_hand))


def _go_around_topic(latest: Sequence[FlownExercise]) -> Topic | None:
    """A late decision is trained however seldom it is."""
    judged = [each.attempt.is_timely for each in latest if each.attempt.outcome == Outcome.WENT_AROUND]
    late = judged.count(False)
    return Topic(TopicKind.LATE_GO_AROUND, late, len(judged)) if late else None


def _standard_topics(latest: Sequence[FlownExercise]) -> list[Topic]:
    return [
        Topic(TopicKind.STANDARD, each.observed - each.met, each.observed, name=each.item)
        for each in _items(latest)
        if _often(each.observed - each.met, each.observed)
    ]
