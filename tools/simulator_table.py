"""Flies the independent simulation through mornings and lessons and writes what the program made of them.

    python -m tools.simulator_table        # docs/validation-simulator.md, between its marks; some minutes

The same flights as in `tests/checks/test_against_simulator.py`, more of them; nothing here judges.
"""

from __future__ import annotations

import datetime
import math
import pathlib
import re
from collections.abc import Iterator

import numpy as np

from tests.checks import test_against_simulator as flights
from tests.simulator import described
from tests.simulator.glides import Morning, best_glide, steady_glide, steady_glides
from volplane.domain.glide.configuration import CLEAN
from volplane.domain.glide.turning import steady_turn
from volplane.domain.track.track import AltitudeSource
from volplane.units import FOOT_M, KNOT_MPS

PAGE = pathlib.Path(__file__).resolve().parents[1] / "docs" / "validation-simulator.md"
START, END = "<!-- table: begin -->", "<!-- table: end -->"
SEEDS = range(1, 5)
LESSON_SEEDS = range(20, 24)


def glides() -> Iterator[str]:
    """The airplane's glides as flown."""
    yield "### The airplane, read directly\n"
    yield "| CAS, kt | ratio as flown | ratio of drag alone |\n|---|---|---|"
    for glide in (*steady_glides(), best_glide()):
        mark = ", the farthest" if glide is best_glide() else ""
        yield f"| {glide.eas_mps / KNOT_MPS:.0f}{mark} | {glide.flown_ratio:.2f} | {glide.ratio:.2f} |"


def turns() -> Iterator[str]:
    """Turns from the curve through the glides read directly."""
    yield "\n### Turns from the curve read directly\n"
    yield "| bank | kt above best | ft for half a circle | from the curve | difference |\n|---|---|---|---|---|"
    curve = described.polar()
    for bank, faster in flights.BANKS_AND_FASTER_KT:
        flown = steady_glide(round(best_glide().eas_mps / KNOT_MPS) + faster, bank)
        found = steady_turn(curve.at_weight(flown.weight_kg), flown.eas_mps, flown.bank_rad, CLEAN, flown.density_kgpm3)
        lost = flown.lost_m / flown.turned_rad * math.pi / FOOT_M
        predicted = found.height_lost_m(math.pi) / FOOT_M
        yield f"| {bank} deg | {faster} | {lost:.0f} | {predicted:.0f} | {100.0 * (predicted / lost - 1.0):+.1f} % |"


def mornings() -> Iterator[str]:
    """What `measure` made of recorded mornings."""
    best = best_glide()
    yield "\n### Mornings measured from their recordings\n"
    yield "| air | seed | heights | glides | form | ratio | off | in sd | best speed, kt | worst turn |"
    yield "|---|---|---|---|---|---|---|---|---|---|"
    for rises in (0.0, 0.1, 0.2):
        for seed in SEEDS:
            for source in (AltitudeSource.PRESSURE, AltitudeSource.GPS):
                morning = Morning(air=flights.air_of("light"), air_rises_sd_mps=rises, seed=seed)
                measured = flights.measured_on(morning, source)
                used = sum(point.is_used for point in measured.points)
                worst = max(
                    (flights.turn_error_percent(measured, *turn) for turn in flights.BANKS_AND_FASTER_KT), key=abs
                )
                form = "curve" if measured.is_curve else "parabola"
                yield (
                    f"| {rises} m/s | {seed} | {source.value} | {used} of {len(measured.points)} | {form} "
                    f"| {measured.ratio:.2f} | {100.0 * (measured.ratio / best.ratio - 1.0):+.1f} % "
                    f"| {(measured.ratio - best.ratio) / measured.ratio_sd:+.1f} "
                    f"| {measured.best_eas_mps / KNOT_MPS:.1f} | {worst:+.1f} % |"
                )


def lessons() -> Iterator[str]:
    """What debriefs made of recorded exercises."""
    yield "\n### Exercises debriefed from their recordings\n"
    yield "Four flights each; largest difference, in brackets the root mean square in parts of the stated deviation.\n"
    yield "| wind | airspeed recorded | wind, kt | gate heights, ft | touchdown, m | wheels met the ground at, kt |"
    yield "|---|---|---|---|---|---|"
    for wind in flights.WINDS:
        for has_airspeed in (True, False):
            yield _lesson_row(wind, has_airspeed)


def _lesson_row(wind: str, has_airspeed: bool) -> str:
    winds, heights, wheels, speeds = [], [], [], []
    for seed in LESSON_SEEDS:
        flown = flights.debriefed(wind, seed, has_airspeed=has_airspeed)
        for found, error_kt in zip(flown.attempt.wind, flown.wind_errors_kt(), strict=True):
            winds.append((error_kt, error_kt * KNOT_MPS / (found.sd_mps * math.sqrt(2.0))))
        for gate in flown.attempt.gates:
            off_m = gate.height_m - flown.truth_at(gate.time_s)[2]
            heights.append((off_m / FOOT_M, off_m / gate.height_sd_m))
        touchdown, wheels_x_m = flown.attempt.touchdown, flown.wheels_x_m()
        if touchdown is not None and wheels_x_m is not None:
            wheels.append((touchdown.x_m - wheels_x_m, (touchdown.x_m - wheels_x_m) / touchdown.x_sd_m))
            down = int(np.flatnonzero(flown.truth.on_wheels > 0.0)[0])
            speeds.append(float(flown.truth.cas_mps[down]) / KNOT_MPS)
    speed = f"{min(speeds):.0f} to {max(speeds):.0f}" if speeds else ""
    cells = (wind, "yes" if has_airspeed else "no", _largest(winds), _largest(heights), _largest(wheels), speed)
    return "| " + " | ".join(cells) + " |"


def _largest(pairs: list[tuple[float, float]]) -> str:
    if not pairs:
        return ""
    worst = max((off for off, _ in pairs), key=abs)
    spread = math.sqrt(sum(part * part for _, part in pairs) / len(pairs))
    return f"{worst:+.1f} ({spread:.1f})"


def main() -> None:
    """Write the tables into the page."""
    today = datetime.datetime.now(tz=datetime.UTC).date().isoformat()
    lines = [f"Flown on {today}.\n", *glides(), *turns(), *mornings(), *lessons()]
    text = PAGE.read_text(encoding="utf-8")
    block = START + "\n\n" + "\n".join(lines) + "\n\n" + END
    PAGE.write_text(re.sub(re.escape(START) + ".*" + re.escape(END), lambda _: block, text, flags=re.S), "utf-8")


if __name__ == "__main__":
    main()
