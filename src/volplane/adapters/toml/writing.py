"""Writes measured values into the text of an airplane file; comments, order and everything else stay as they are."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from volplane.domain.airplane.airplane import StandIn
from volplane.domain.glide.configuration import Configuration
from volplane.services.airplane_changes import AirplaneChanges, GlidePoint
from volplane.services.quantities import ENGINE_SPEED, HEIGHT, PRESSURE, SPEED, VERTICAL_SPEED, WEIGHT, Kind

if TYPE_CHECKING:
    from tomlkit import TOMLDocument
    from tomlkit.items import Item

_RATIO_DECIMALS = 2
_DRAG_DECIMALS = 3


def write_airplane(text: str, changes: AirplaneChanges) -> str:
    """The text of an airplane file with the changes in it.

    `text` is a file that `read_airplane` accepts. Values of a file are typed by people, so what is written has the
    decimals a person would give it: 0.1 kt, 1 fpm, 0.01 of a ratio.
    """
    import tomlkit

    is_windows = "\r\n" in text
    document = tomlkit.parse(text.removeprefix("\ufeff").replace("\r\n", "\n"))
    _write_glide(document, changes)
    if changes.airspeed_correction is not None:
        _replace_tables(document, "airspeed_correction", [_correction(*row) for row in changes.airspeed_correction])
    if changes.stand_in is not None:
        _write_stand_in(document, changes.stand_in)
    for configuration in changes.configurations:
        _write_configuration(document, configuration)
    written = tomlkit.dumps(document).rstrip("\n") + "\n"
    return written.replace("\n", "\r\n") if is_windows else written


def _write_glide(document: TOMLDocument, changes: AirplaneChanges) -> None:
    values: dict[str, Any] = {}
    if changes.glide_best_ias_mps is not None:
        values["best_speed"] = _text(changes.glide_best_ias_mps, SPEED)
    if changes.glide_ratio is not None:
        values["ratio"] = round(changes.glide_ratio, _RATIO_DECIMALS)
    if changes.glide_weight_kg is not None:
        values["weight"] = _text(changes.glide_weight_kg, WEIGHT)
    if not values and changes.glide_points is None:
        return
    glide: Any = document["glide"]
    if changes.glide_points is not None and "points" in glide:
        glide.remove("points")
    if changes.glide_points:
        values["points"] = _points(changes.glide_points)
    _set(glide, values)


def _points(points: Sequence[GlidePoint]) -> Item:
    """The points as a list with one point on a line."""
    import tomlkit

    rows = tomlkit.array()
    for point in points:
        row = tomlkit.inline_table()
        row.update({"speed": _text(point.ias_mps, SPEED), "sink": _text(point.sink_mps, VERTICAL_SPEED)})
        rows.append(row)
    return rows.multiline(True)


def _write_stand_in(document: TOMLDocument, stand_in: StandIn) -> None:
    values = {
        "configuration": stand_in.configuration,
        "manifold_pressure": _text(stand_in.manifold_pressure_pa, PRESSURE),
        "rpm": _text(stand_in.engine_speed_radps, ENGINE_SPEED),
        "altitude": _text(stand_in.altitude_msl_m, HEIGHT),
    }
    if "stand_in" in document:
        _set(document["stand_in"], values)
    else:
        _leave_a_line(document)
        document["stand_in"] = _fresh(values)


def _write_configuration(document: TOMLDocument, configuration: Configuration) -> None:
    import tomlkit

    values = {
        "name": configuration.name,
        "gear": str(configuration.gear),
        "flap": str(configuration.flap),
        "propeller": str(configuration.propeller),
        "extra_drag": round(configuration.extra_drag_factor, _DRAG_DECIMALS),
        "induced_factor": round(configuration.induced_factor, _DRAG_DECIMALS),
    }
    rows = document.get("configuration", [])
    for row in rows:
        if row.get("name") == configuration.name:
            _set(row, values)
            return
    if not rows:
        _replace_tables(document, "configuration", [values])
    elif isinstance(rows, tomlkit.items.AoT):
        # a table holds the blank line below it
        if not rows[-1].as_string().endswith("\n\n"):
            rows[-1].add(tomlkit.nl())
        rows.append(_fresh(values))
    else:
        row = tomlkit.inline_table()
        row.update(values)
        rows.append(row)


def _correction(indicated_mps: float, calibrated_mps: float) -> dict[str, Any]:
    return {"indicated": _text(indicated_mps, SPEED), "calibrated": _text(calibrated_mps, SPEED)}


def _replace_tables(document: TOMLDocument, name: str, rows: Sequence[dict[str, Any]]) -> None:
    """A list of tables in the place of the old one, or at the end."""
    import tomlkit

    if not rows:
        document.pop(name, None)
        return
    tables = tomlkit.aot()
    for place, values in enumerate(rows, start=1):
        # between the tables of a new list tomlkit leaves a line by itself
        tables.append(_fresh(values, has_line_below=place == len(rows)))
    if not isinstance(document.get(name), tomlkit.items.AoT):
        # a list written on one line cannot hold what follows it
        document.pop(name, None)
        _leave_a_line(document)
    document[name] = tables


def _fresh(values: dict[str, Any], *, has_line_below: bool = True) -> Any:
    """A new table with a blank line below it."""
    import tomlkit

    table = tomlkit.table()
    table.update(values)
    if has_line_below:
        table.add(tomlkit.nl())
    return table


def _leave_a_line(document: TOMLDocument) -> None:
    """A blank line at the end, for what comes below it."""
    import tomlkit

    end = document.as_string()[-2:]
    for _ in range(0 if end == "\n\n" else 1 if end.endswith("\n") else 2):
        document.add(tomlkit.nl())


def _set(table: Any, values: dict[str, Any]) -> None:
    """Change values where they stand, with the comment behind them; new ones go below the last."""
    for key, value in values.items():
        table[key] = value


def _text(value_si: float, kind: Kind) -> str:
    """A quantity as it is typed in its usual unit."""
    unit = kind.units[0]
    number = round((value_si - unit.nought_si) / unit.size_si, unit.decimals)
    return f"{number:.{unit.decimals}f}".removesuffix(".0") + f" {unit.name}"
