"""A dispersion in trade units and in words: for instructors' pages and reports, never for the card."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from volplane.domain.exercise.dispersion_results import PERCENTS, Dispersion, GateSpread, Sensitivity
from volplane.faces.documents.quantities import ft, rounded
from volplane.faces.documents.wording import Units, percent


def dispersion_document(dispersion: Dispersion) -> dict[str, Any]:
    """The part `dispersion` of `volplane/plan/1`."""
    return {
        "runs": dispersion.runs,
        "seed": dispersion.seed,
        "short_of_runway_fraction": rounded(dispersion.short_of_runway_fraction, 6),
        "before_zone_fraction": rounded(dispersion.before_zone_fraction, 6),
        "in_zone_fraction": rounded(dispersion.in_zone_fraction, 6),
        "long_fraction": rounded(dispersion.long_fraction, 6),
        "go_around_fraction": rounded(dispersion.go_around_fraction, 6),
        "x_ft": {f"p{at}": ft(value) for at, value in zip(PERCENTS, dispersion.percentile_x_m, strict=True)},
        "x_sd_ft": ft(dispersion.sd_x_m),
        "gates": [_gate(gate) for gate in dispersion.gates],
        "go_arounds": [
            {"reason": each.reason.value, "fraction": rounded(each.flights_fraction, 6)}
            for each in dispersion.go_arounds
        ],
        "sensitivities": [_sensitivity(each) for each in dispersion.sensitivities],
    }


def _gate(gate: GateSpread) -> dict[str, Any]:
    return {
        "name": gate.name.value,
        "passed_fraction": rounded(gate.passed_fraction, 6),
        "height_ft": {f"p{at}": ft(value) for at, value in zip(PERCENTS, gate.percentile_m, strict=True)},
        "height_sd_ft": ft(gate.sd_m),
    }


def _sensitivity(each: Sensitivity) -> dict[str, Any]:
    return {
        "source": each.source.value,
        "variance_share_fraction": rounded(each.variance_share_fraction, 3),
        "sd_without_ft": ft(each.sd_without_m),
        "short_without_fraction": rounded(each.short_without_fraction, 6),
        "go_around_without_fraction": rounded(each.go_around_without_fraction, 6),
    }


def part_of_flights(fraction: float, runs: int) -> str:
    """A part of so many flights as a percentage; what rounds to nought is never said to be nought.

    Instead stands what the part is under, in whole percent, with 97.5 % confidence from the count alone (upper end of
    the score interval; E. B. Wilson, Journal of the American Statistical Association 22, 1927, from memory).
    """
    if round(100.0 * fraction) >= 1:
        return percent(fraction)
    z, half = 1.96, 1.96**2 / (2.0 * runs)
    spread = z * math.sqrt(fraction * (1.0 - fraction) / runs + (z / (2.0 * runs)) ** 2)
    return f"under {percent(math.ceil(100.0 * (fraction + half + spread) / (1.0 + 2.0 * half)) / 100.0)}"


def outcome_entries(dispersion: Dispersion) -> tuple[tuple[str, str], ...]:
    """What became of the flights, short of the runway first: name and part of all flights."""
    return (
        ("Short of the runway", part_of_flights(dispersion.short_of_runway_fraction, dispersion.runs)),
        ("Beyond the zone", part_of_flights(dispersion.long_fraction, dispersion.runs)),
        ("On the runway before the point", part_of_flights(dispersion.before_zone_fraction, dispersion.runs)),
        ("In the zone", part_of_flights(dispersion.in_zone_fraction, dispersion.runs)),
        ("Went around", part_of_flights(dispersion.go_around_fraction, dispersion.runs)),
    )


def dispersion_sentences(dispersion: Dispersion, units: Units) -> Iterator[str]:
    """Where the landings lie, why flights were broken off, what matters most."""
    low, _, middle, _, high = dispersion.percentile_x_m
    if dispersion.go_around_fraction < 1.0:
        length = units.length
        yield (
            f"Touchdowns of those that landed: half beyond {length.text(middle)} from the point, nine in ten between "
            f"{length.text(low)} and {length.text(high)}."
        )
    reasons = [
        f"{each.reason} {part_of_flights(each.flights_fraction, dispersion.runs)}" for each in dispersion.go_arounds
    ]
    if reasons:
        yield f"Broken off: {', '.join(reasons)}."
    most = [each for each in dispersion.sensitivities if each.variance_share_fraction > 0.02][:3]
    if most:
        named = ", ".join(f"{each.source} ({percent(each.variance_share_fraction)})" for each in most)
        yield f"What matters most to where the wheels touch, by the variance that goes without it: {named}."
    yield "How much pilots and air err is estimated by us; treat these figures as a comparison between plans."
