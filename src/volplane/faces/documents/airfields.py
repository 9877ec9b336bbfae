"""The document `volplane/airfields/1` and its words: airfields of the table of runway ends."""

from __future__ import annotations

from typing import Any

from volplane.domain.geometry.runway_ends import Doubt, LandingRunway
from volplane.faces.documents import wording
from volplane.faces.documents.quantities import direction_deg, ft, place_deg
from volplane.faces.documents.wording import IMPERIAL, Units
from volplane.services.airfields import AirfieldsFound, FoundAirfield, TableMade, TableOrigin

SCHEMA = "volplane/airfields/1"
UPDATE_SCHEMA = "volplane/airfields-update/1"


def airfields_document(found: AirfieldsFound, written: str | None = None, units: Units = IMPERIAL) -> dict[str, Any]:
    """What the table answered; `written` is the airfield file written."""
    return {
        "schema": SCHEMA,
        "text": found.search.text,
        "found": len(found.search.codes),
        "is_one": found.search.is_one,
        "airfields": [_airfield_entry(each, units) for each in found.airfields],
        "table": _table_entry(found.origin),
        "written": written,
        "caution": list(wording.CAUTION_LINES),
    }


def update_document(made: TableMade) -> dict[str, Any]:
    """A table that was made of raw ones."""
    return {
        "schema": UPDATE_SCHEMA,
        "file": made.path,
        "airfields": made.airfields_count,
        "runway_ends": made.runway_ends_count,
        "with_positions": made.placed_ends_count,
        "lines_left_out": made.lines_left_out,
        "table": _table_entry(made.origin),
    }


def table_sentence(origin: TableOrigin) -> str:
    """Which table answers, and how far it goes."""
    whose = "Your own table of runway ends" if origin.is_own else "The table of runway ends that comes with Volplane"
    return f"{whose} is of {origin.dated}: compare with the current chart before flying."


def doubt_sentences(runway: LandingRunway, units: Units = IMPERIAL) -> list[str]:
    """What is wrong with a runway end, a sentence for each doubt, the worst first."""
    return [_doubt_sentence(doubt, runway, units) for doubt in runway.doubts]


def runway_notes(found: FoundAirfield, units: Units = IMPERIAL) -> dict[str, list[str]]:
    """What should stand above each usable runway end in an airfield file, by its name."""
    notes: dict[str, list[str]] = {}
    for runway in found.runways:
        said = doubt_sentences(runway, units)
        if runway.displaced_m > 0.0:
            said.insert(0, f"The landing threshold is displaced by {units.length.text(runway.displaced_m)}.")
        if runway.is_usable and said:
            notes.setdefault(runway.name, said)
    # a file is read by any editor
    return {name: [each.replace(wording.NO_BREAK_SPACE, " ") for each in said] for name, said in notes.items()}


def _doubt_sentence(doubt: Doubt, runway: LandingRunway, units: Units) -> str:
    length, published = units.length.text(runway.between_ends_m), units.length.text(runway.published_length_m)
    if doubt is Doubt.NO_POSITIONS:
        return "The positions of its ends are not in the table."
    if doubt is Doubt.POSITIONS_IMPOSSIBLE:
        beside = "" if runway.published_length_m is None else f", published are {published}"
        return f"The positions in the table cannot be used: {length} from end to end{beside}."
    if doubt is Doubt.ENDS_EXCHANGED:
        return "Its positions seem to be exchanged with those of the other end: they lead the other way."
    if doubt is Doubt.NAME_DISAGREES:
        return f"Its positions lead {wording.direction(runway.bearing_true_rad)} true, which is not what its name says."
    if doubt is Doubt.TAKEN_AS_THRESHOLDS:
        return (
            f"{length} from end to end, published are {published}: the positions are taken for those of the displaced "
            "thresholds. Look it up."
        )
    if doubt is Doubt.LENGTH_DIFFERS:
        return f"{length} from end to end by the positions, published are {published}; the shorter is used."
    bearing = wording.direction(runway.bearing_true_rad)
    beside = wording.direction(runway.published_bearing_true_rad)
    return f"{bearing} true by the positions, published is {beside}; the positions are used."


def _table_entry(origin: TableOrigin) -> dict[str, Any]:
    return {
        "dated": origin.dated,
        "source": origin.source,
        "licence": origin.licence,
        "own": origin.is_own,
        "airports_sha256": origin.airports_sha256,
        "runways_sha256": origin.runways_sha256,
    }


def _airfield_entry(found: FoundAirfield, units: Units) -> dict[str, Any]:
    published = found.published
    return {
        "code": published.code,
        "other_codes": list(published.other_codes),
        "name": published.name,
        "place": published.place or None,
        "country": published.country or None,
        "latitude_deg": place_deg(published.latitude_deg),
        "longitude_deg": place_deg(published.longitude_deg),
        "elevation_ft": ft(published.elevation_msl_m),
        "runways": [_runway_entry(runway, units) for runway in found.runways],
    }


def _runway_entry(runway: LandingRunway, units: Units) -> dict[str, Any]:
    return {
        "name": runway.name,
        "usable": runway.is_usable,
        "latitude_deg": place_deg(runway.threshold_latitude_deg),
        "longitude_deg": place_deg(runway.threshold_longitude_deg),
        "bearing_true_deg": direction_deg(runway.bearing_true_rad),
        "length_ft": ft(runway.length_m),
        "displaced_ft": ft(runway.displaced_m),
        "elevation_ft": ft(runway.elevation_msl_m),
        "surface": runway.surface or None,
        "between_ends_ft": ft(runway.between_ends_m),
        "published_length_ft": ft(runway.published_length_m),
        "published_bearing_true_deg": direction_deg(runway.published_bearing_true_rad),
        "doubts": [{"code": doubt.value, "text": _doubt_sentence(doubt, runway, units)} for doubt in runway.doubts],
    }
