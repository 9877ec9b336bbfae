"""Airfields of the table for a reader at the terminal."""

from __future__ import annotations

from volplane.domain.geometry.runway_ends import LandingRunway
from volplane.faces.cli.sheet import Column, Sheet
from volplane.faces.documents import wording
from volplane.faces.documents.airfields import doubt_sentences, table_sentence
from volplane.faces.documents.wording import IMPERIAL, Units
from volplane.services.airfields import AirfieldsFound, FoundAirfield, TableMade

UNKNOWN = wording.NOT_OBSERVABLE


def airfields_report(
    found: AirfieldsFound, written: str | None = None, units: Units = IMPERIAL, sheet: Sheet | None = None
) -> str:
    """One airfield with its runways, or the list of those found."""
    page = Sheet() if sheet is None else sheet
    if found.search.is_one:
        _one(page, found.the_one, units)
    else:
        _several(page, found, units)
    others = len(found.search.codes) - len(found.airfields)
    page.blank()
    if found.search.is_one and len(found.search.codes) > 1:
        count = wording.counted(len(found.search.codes) - 1, "other airfield")
        page.line(f'{wording.sentence_case(count)} with "{found.search.text}" in code, name or place.')
    elif others > 0:
        page.line(f"And {wording.counted(others, 'other')}: write more of the name, or ask for more with --limit.")
    if written is not None:
        page.line(f"Written to {written}; the published side of the pattern is for you to fill in.")
    page.line(table_sentence(found.origin))
    page.cautions()
    return page.text()


def update_report(made: TableMade, sheet: Sheet | None = None) -> str:
    """What a new table holds."""
    page = Sheet() if sheet is None else sheet
    page.headline(f"Table of runway ends of {made.origin.dated}")
    page.line(
        f"{made.airfields_count:,} airfields, {made.runway_ends_count:,} runway ends, "
        f"{made.placed_ends_count:,} of them with positions."
    )
    if made.lines_left_out:
        lines = wording.counted(made.lines_left_out, "line")
        page.line(f"{wording.sentence_case(lines)} could not be used, and left out.")
    page.line(f"Kept in {made.path} and used from now on; volplane airfields update --shipped goes back.")
    return page.text()


def _one(page: Sheet, found: FoundAirfield, units: Units) -> None:
    published = found.published
    page.headline(f"{published.name} ({', '.join((published.code, *published.other_codes))})")
    where = ", ".join(filter(None, (published.place, published.country)))
    elevation = (
        "elevation not known"
        if published.elevation_msl_m is None
        else f"elevation {units.height.text(published.elevation_msl_m)}"
    )
    page.line(f"{where}{': ' if where else ''}{elevation}")
    page.blank()
    page.table(_columns(found.runways, units))
    said = [(runway, each) for runway in found.runways for each in doubt_sentences(runway, units)]
    if said:
        page.blank()
    for runway, each in said:
        head = "" if runway.is_usable else "Not used. "
        page.entry(runway.name, f"{head}{each}", max(len(runway.name) for runway in found.runways))


def _columns(runways: tuple[LandingRunway, ...], units: Units) -> list[Column]:
    unit = units.length.unit

    def length(length_m: float | None) -> str:
        return UNKNOWN if length_m is None else units.length.text(length_m).removesuffix(unit).strip()

    return [
        Column("Runway", [each.name for each in runways], is_number=False),
        Column("True\nbearing", [wording.direction(each.bearing_true_rad) for each in runways]),
        Column(f"Landing\ndistance, {unit}", [length(each.length_m) for each in runways]),
        Column(f"Displaced\n{unit}", [length(each.displaced_m) for each in runways], importance=1),
        Column(f"Published\nlength, {unit}", [length(each.published_length_m) for each in runways], importance=2),
        Column(f"Elevation\n{unit}", [length(each.elevation_msl_m) for each in runways], importance=3),
        Column("Surface", [each.surface or UNKNOWN for each in runways], is_number=False, importance=4),
    ]


def _several(page: Sheet, found: AirfieldsFound, units: Units) -> None:
    count = wording.counted(len(found.search.codes), "airfield")
    page.headline(f'{wording.sentence_case(count)} for "{found.search.text}"')
    page.blank()
    longest = [
        max((each.length_m for each in airfield.runways if each.length_m is not None), default=None)
        for airfield in found.airfields
    ]
    published = [each.published for each in found.airfields]
    unit = units.length.unit
    page.table(
        [
            Column("Code", [each.code for each in published], is_number=False),
            Column("Name", [each.name for each in published], is_number=False),
            Column("Place", [each.place or UNKNOWN for each in published], is_number=False, importance=2),
            Column("Country", [each.country or UNKNOWN for each in published], is_number=False, importance=1),
            Column("Runway ends\nto be used", [str(each.usable_count) for each in found.airfields], importance=1),
            Column(
                f"Longest\n{unit}",
                [UNKNOWN if each is None else units.length.text(each).removesuffix(unit).strip() for each in longest],
                importance=3,
            ),
        ]
    )
