"""How fast long lists are: `python benchmarks/bench_lists.py [DEBRIEFS]`.

A store of its own with 2,000 debriefs of two dozen trainees; the list's first and last leaf, searches, and the pages
around it are asked of the application in this process, each often. The aim is 200 ms.
"""

from __future__ import annotations

import dataclasses
import hashlib
import pathlib
import sys
import time

sys.path.insert(0, str(pathlib.Path(__file__).parents[1]))

from tests.faces.web_fixture import Browser, FixtureWorkbench
from volplane.domain.debrief.results import Debrief
from volplane.services.keeping_debriefs import attempt_records
from volplane.services.kept import KeptDebrief, KeptRecording, Person, Role

DEBRIEFS, TRAINEES, TIMES = 2000, 24, 11
DAY_S = 86_400.0
ADDRESSES = (
    "/debriefs",
    "/debriefs?leaf=40",
    "/debriefs?text=trainee+17",
    "/debriefs?text=flight-1999",
    "/debriefs?text=nothing",
    "/",
    "/people",
)


def main() -> None:
    """Print the median and the slowest of each address in ms."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else DEBRIEFS
    client = Browser(FixtureWorkbench())
    filled(client, count)
    for address in ADDRESSES:
        waits = []
        for _ in range(TIMES):
            began = time.perf_counter()
            status = client.get(address).status_code
            waits.append(1000.0 * (time.perf_counter() - began))
        waits.sort()
        print(f"{address}: {status}, median {waits[TIMES // 2]:.0f} ms, slowest {waits[-1]:.0f} ms")


def filled(client: Browser, count: int) -> None:
    """Fill the store of a client with debriefs, each of two exercises, a day apart."""
    store, house = client.house.shelf.store, client.house
    debrief: Debrief = house.bench.debrief("flight.csv", b"flight", {})
    people = [Person(f"t{number}", f"Trainee {number}", Role.TRAINEE, 0.0) for number in range(TRAINEES)]
    store.change(people)
    pattern = store.get(KeptDebrief, "high")
    for first in range(0, count, 100):
        rows: list[KeptRecording | KeptDebrief] = []
        below = []
        data = []
        for number in range(first, min(first + 100, count)):
            data.append(f"flight {number}".encode())
            key, at = recording_key(data[-1]), DAY_S * number
            rows.append(KeptRecording(key, f"flight-{number}.csv", "CSV", len(data[-1]), at, at, at + 300.0))
            rows.append(debrief_like(pattern, f"d{number}", key, people[number % TRAINEES].key, at))
            below += attempt_records(f"d{number}", debrief, store.new_key)
        store.change([*rows, *below], originals=data)


def recording_key(data: bytes) -> str:
    """A recording is known by its bytes."""
    return hashlib.sha256(data).hexdigest()


def debrief_like(pattern: KeptDebrief, key: str, recording: str, trainee: str, at_unix_s: float) -> KeptDebrief:
    """A debrief as the pattern says, of another recording and trainee."""
    return dataclasses.replace(pattern, key=key, recording=recording, trainee=trainee, made_unix_s=at_unix_s, version=0)


if __name__ == "__main__":
    main()
