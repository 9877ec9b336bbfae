"""A season of an instructor, invented: twelve exercises of three trainees, one of them right-hand.

Eight ended in a touchdown, three in a go-around (two in time, one late), one was discontinued.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from volplane.services import kept
from volplane.services.keeping import Store, keep_recording
from volplane.services.keeping_debriefs import DebriefOptions
from volplane.units import m_from_ft, mps_from_kt

DAY_S = 86_400.0
MAY_UNIX_S = 1_777_939_200.0 + 14 * 3600.0  # 5 May 2026, 14:00 UTC
NAMES = {"mara": "Mara Quist", "jonne": "Jonne Aalt", "ilse": "Ilse Brandner"}
GATES = (("high key", 2500.0, 2350.0, 2900.0), ("low key", 1500.0, 1420.0, 1720.0), ("base key", 810.0, 740.0, 990.0))


@dataclass(frozen=True)
class Flown:
    """An exercise of the season: who, on which day, and how it ended, in feet and knots."""

    trainee: str
    day: int
    outcome: str = "landed"
    touchdown_ft: float | None = None
    gate_errors_ft: tuple[float, ...] = (0.0, 0.0, 0.0)
    in_hand_ft: float = 60.0
    is_timely: bool | None = None
    wind_kt: tuple[float, float] | None = (8.0, 2.0)
    side: str = "left"


SEASON = (
    Flown("mara", 0, touchdown_ft=420.0, gate_errors_ft=(120.0, 190.0, 160.0)),
    Flown("mara", 0, "discontinued", gate_errors_ft=(900.0,), in_hand_ft=-400.0),
    Flown("mara", 0, "went around", gate_errors_ft=(-90.0, -150.0, -140.0), in_hand_ft=-120.0, is_timely=True),
    Flown("mara", 7, touchdown_ft=260.0, gate_errors_ft=(80.0, 120.0, 90.0), wind_kt=(12.0, -5.0)),
    Flown("mara", 7, touchdown_ft=150.0, gate_errors_ft=(60.0, 70.0, 60.0), wind_kt=(12.0, -5.0)),
    Flown("mara", 14, touchdown_ft=90.0, gate_errors_ft=(40.0, 50.0, 30.0), side="right"),
    Flown("mara", 14, touchdown_ft=60.0, gate_errors_ft=(20.0, 30.0, -20.0)),
    Flown("jonne", 3, touchdown_ft=-40.0),
    Flown("jonne", 3, "went around", is_timely=False, in_hand_ft=-210.0),
    Flown("jonne", 10, touchdown_ft=210.0, wind_kt=None),
    Flown("ilse", 21, touchdown_ft=110.0),
    Flown("ilse", 21, "went around", is_timely=True, in_hand_ft=-60.0),
)


def keep_season(store: Store, flown: Sequence[Flown] = SEASON, names: dict[str, str] | None = None) -> None:
    """Keep the people, the texts, a recording a day and trainee, and its exercises."""
    names = NAMES if names is None else names
    people = [kept.Person(key, name, kept.Role.TRAINEE, MAY_UNIX_S, notes="") for key, name in names.items()]
    if not store.find(kept.Person, key="tobias"):
        people.append(kept.Person("tobias", "Tobias Lund", kept.Role.INSTRUCTOR, MAY_UNIX_S))
    known = {each.key for each in store.find(kept.Person)}
    store.change([each for each in people if each.key not in known])
    texts = _texts(store)
    for trainee, day in dict.fromkeys((each.trainee, each.day) for each in flown):
        of_day = [each for each in flown if (each.trainee, each.day) == (trainee, day)]
        _keep_day(store, trainee, MAY_UNIX_S + day * DAY_S, of_day, texts)


def _texts(store: Store) -> tuple[str, str, str]:
    files = {kind: store.find(kept.InstructorFile, kind=kind) for kind in kept.FileKind}
    if files[kept.FileKind.EXERCISE]:
        found = [
            store.find(kept.FileText, file=files[kind][0].key)[-1].key
            for kind in (kept.FileKind.EXERCISE, kept.FileKind.AIRPLANE, kept.FileKind.AIRFIELD)
        ]
        return found[0], found[1], found[2]
    for kind, name, text in (
        (kept.FileKind.EXERCISE, "exercise.toml", 'runway = "25"\n'),
        (kept.FileKind.AIRPLANE, "airplane.toml", 'name = "Dunlin Tourer"\n'),
        (kept.FileKind.AIRFIELD, "airfield.toml", 'name = "Quill Meadow"\n'),
    ):
        file = kept.InstructorFile(f"season-{kind.value}", kind, name)
        store.change([file, kept.FileText(f"season-{kind.value}-1", file.key, 1, text, MAY_UNIX_S)])
    return "season-exercise-1", "season-airplane-1", "season-airfield-1"


def _keep_day(
    store: Store, trainee: str, start_unix_s: float, flown: Sequence[Flown], texts: tuple[str, str, str]
) -> None:
    data = f"recording of {NAMES.get(trainee, trainee)}, day {start_unix_s}".encode()
    recording = keep_recording(
        store, f"{trainee}-{start_unix_s:.0f}.gpx", data, "GPX", start_unix_s, start_unix_s=start_unix_s
    )
    debrief = kept.KeptDebrief(
        key=f"season-{trainee}-{start_unix_s:.0f}",
        recording=recording.key,
        exercise_text=texts[0],
        airplane_text=texts[1],
        airfield_text=texts[2],
        options=DebriefOptions(start_unix_s).to_text(),
        document='{"schema": "volplane/debrief/1"}',
        code_version="season",
        made_unix_s=start_unix_s + 7200.0,
        trainee=trainee,
        instructor="tobias",
    )
    rows: list[kept.Record] = [debrief]
    for number, each in enumerate(flown, start=1):
        rows += _rows(each, debrief.key, number, start_unix_s + 900.0 * number)
    store.change(rows)


def _rows(flown: Flown, debrief: str, number: int, start_unix_s: float) -> list[kept.Record]:
    key = f"{debrief}-{number}"
    head, cross = (None, None) if flown.wind_kt is None else (mps_from_kt(each) for each in flown.wind_kt)
    verdict = "made it" if flown.in_hand_ft > 0.0 else "would not have made it"
    attempt = kept.KeptAttempt(
        key=key,
        debrief=debrief,
        number=number,
        start_unix_s=start_unix_s,
        end_unix_s=start_unix_s + 180.0,
        runway="25",
        side=flown.side,
        outcome=flown.outcome,
        verdict=verdict,
        in_hand_m=m_from_ft(flown.in_hand_ft),
        in_hand_sd_m=m_from_ft(30.0),
        least_room_above_m=m_from_ft(300.0 - flown.in_hand_ft),
        touchdown_x_m=None if flown.touchdown_ft is None else m_from_ft(flown.touchdown_ft),
        touchdown_x_sd_m=m_from_ft(20.0),
        touchdown_y_m=None if flown.touchdown_ft is None else m_from_ft(6.0 - 3.0 * number),
        go_around_height_m=m_from_ft(480.0) if flown.outcome == "went around" else None,
        is_timely=flown.is_timely,
        headwind_mps=head,
        crosswind_mps=cross,
    )
    gates = [
        kept.KeptGate(
            f"{key}-{gate}",
            key,
            gate,
            m_from_ft(planned + error),
            m_from_ft(10.0),
            m_from_ft(planned),
            m_from_ft(lowest),
            m_from_ft(highest),
        )
        for (gate, planned, lowest, highest), error in zip(GATES, flown.gate_errors_ft, strict=False)
    ]
    zone = m_from_ft(200.0)
    touched = attempt.touchdown_x_m
    item = kept.KeptStandardItem(
        f"{key}-item",
        key,
        1,
        "touchdown beyond the point",
        "length_m",
        "lesson standard",
        0.0,
        zone,
        touched,
        None if touched is None else 0.0 <= touched <= zone,
    )
    return [attempt, *gates, item]
