"""A dispersion in trade units and in words: for instructors' pages and reports, never for the card."""

from __future__ import annotations

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


def outcome_entries(dispersion: Dispersion) -> tuple[tuple[str, str], ...]:
    """What became of the flights, short of the runway first: name and part of all flights."""
    return (
        ("Short of the runway", percent(dispersion.short_of_runway_fraction)),
        ("Beyond the zone", percent(dispersion.long_fraction)),
        ("On the runway before the point", percent(dispersion.before_zone_fraction)),
        ("In the zone", percent(dispersion.in_zone_fraction)),
        ("Went around", percent(dispersion.go_around_fraction)),
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
    reasons = [f"{each.reason} {percent(each.flights_fraction)}" for each in dispersion.go_arounds]
    if reasons:
        yield f"Broken off: {', '.join(reasons)}."
    most = [each for each in dispersion.sensitivities if each.variance_share_fraction > 0.02][:3]
    if most:
        named = ", ".join(f"{each.source} ({percent(each.variance_share_fraction)})" for each in most)
        yield f"What matters most to where the wheels touch, by the variance that goes without it: {named}."
    yield "How much pilots and air err is estimated by us; treat these figures as a comparison between plans."
