"""Many recordings, one after the other and several at once: what is worked on next, what is tried again, what is left.

One bad file never ends the run. A file that takes its worker down, takes too long or takes too much memory is tried
once more, when the others are done, and then set aside with its reason.
"""

from __future__ import annotations

import hashlib
from collections import deque
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Generic, Protocol, TypeVar

from volplane.errors import FilesRefused, Problem

A = TypeVar("A")
A_co = TypeVar("A_co", covariant=True)

# what may be the machine's passing trouble is tried so often; ours
MOST_TRIES_READING = 3
MOST_TRIES_WORKING = 2
# so long is waited before a file that could not be read is read again; ours
PAUSE_S = 0.5


class Status(StrEnum):
    """What became of a recording."""

    DONE = "done"
    KNOWN = "known"
    DUPLICATE = "duplicate"
    REFUSED = "refused"
    SET_ASIDE = "set aside"


class Trouble(StrEnum):
    """Why a worker gave no answer."""

    CRASHED = "crashed"
    TOO_LONG = "too long"
    TOO_MUCH_MEMORY = "too much memory"
    OWN_FAULT = "own fault"


@dataclass(frozen=True, slots=True)
class Task:
    """A recording to work on: its path as it is told, its bytes, their SHA-256, and which try this is."""

    path: str
    data: bytes
    sha256: str
    tries: int = 1

    @property
    def name(self) -> str:
        """The name of the file without its folders."""
        return self.path.rsplit("/", 1)[-1]


@dataclass(frozen=True, slots=True)
class Answered(Generic[A_co]):
    """What a worker made of a recording, or the problems it was refused for."""

    made: A_co | None
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True, slots=True)
class Failed:
    """A worker gave no answer; `said` is what is known of it."""

    trouble: Trouble
    said: str


class Workers(Protocol[A_co]):
    """Processes that work on recordings.

    `each_done` asks `take` for the next one whenever a worker is free, and gives each back with its answer, in the
    order they end; it is over when nothing is at work and `take` gives None.
    """

    def each_done(self, take: Callable[[], Task | None], /) -> Iterator[tuple[Task, Answered[A_co] | Failed]]: ...


@dataclass(frozen=True, slots=True)
class Result(Generic[A]):
    """What became of one file. `sha256` is None where it could not be read, `same_as` names the file met before.

    `task` is there where a worker answered, with the bytes it worked on.
    """

    path: str
    sha256: str | None
    status: Status
    tries: int = 0
    made: A | None = None
    problems: tuple[Problem, ...] = ()
    same_as: str | None = None
    task: Task | None = None


def results(
    paths: Sequence[str],
    read: Callable[[str], bytes],
    workers: Workers[A],
    pause: Callable[[float], None],
    met_before: Mapping[str, str] | None = None,
    known: Callable[[str, str], Result[A] | None] = lambda path, sha256: None,
) -> Iterator[Result[A]]:
    """What becomes of each file, as it ends.

    `met_before` holds the files of an earlier run by the SHA-256 of their bytes; `known` answers for a path and a
    SHA-256 that need no work any more. `pause` waits so many seconds.
    """
    queue: _Queue[A] = _Queue(paths, read, pause, dict(met_before or {}), known)
    for task, outcome in workers.each_done(queue.take):
        yield from queue.told()
        if isinstance(outcome, Answered):
            status = Status.REFUSED if outcome.made is None else Status.DONE
            yield Result(task.path, task.sha256, status, task.tries, outcome.made, outcome.problems, task=task)
        elif outcome.trouble is not Trouble.OWN_FAULT and task.tries < MOST_TRIES_WORKING:
            queue.again(task.path, task.tries)
        else:
            problems = (_set_aside(task.path, outcome),)
            yield Result(task.path, task.sha256, Status.SET_ASIDE, task.tries, None, problems)
    yield from queue.told()


class _Queue(Generic[A]):
    """Which file is next: first each once, then those to be tried again."""

    def __init__(
        self,
        paths: Sequence[str],
        read: Callable[[str], bytes],
        pause: Callable[[float], None],
        met: dict[str, str],
        known: Callable[[str, str], Result[A] | None],
    ) -> None:
        self._waiting = deque((path, 0) for path in paths)
        self._read, self._pause, self._met, self._known = read, pause, met, known
        self._told: list[Result[A]] = []

    def again(self, path: str, tries: int) -> None:
        """Try a file once more, after the others."""
        self._waiting.append((path, tries))

    def told(self) -> Iterator[Result[A]]:
        """What became of files that no worker is needed for, since this was asked last."""
        told, self._told = self._told, []
        yield from told

    def take(self) -> Task | None:
        """The next file a worker is needed for."""
        while self._waiting:
            path, tried = self._waiting.popleft()
            if (task := self._read_task(path, tried)) is None:
                continue
            if (result := self._without_work(task)) is None:
                self._met[task.sha256] = path
                return task
            self._told.append(result)
        return None

    def _read_task(self, path: str, tried: int) -> Task | None:
        if tried:
            self._pause(PAUSE_S * tried)
        try:
            data = self._read(path)
        except FilesRefused as refused:
            if tried + 1 < MOST_TRIES_READING:
                self.again(path, tried + 1)
            else:
                self._told.append(Result(path, None, Status.SET_ASIDE, tried + 1, problems=refused.problems))
            return None
        return Task(path, data, hashlib.sha256(data).hexdigest(), tried + 1)

    def _without_work(self, task: Task) -> Result[A] | None:
        if (result := self._known(task.path, task.sha256)) is not None:
            return result
        first = self._met.get(task.sha256, task.path)
        return None if first == task.path else Result(task.path, task.sha256, Status.DUPLICATE, same_as=first)


def _set_aside(path: str, failed: Failed) -> Problem:
    expected = "a recording that is worked through like others"
    if failed.trouble is Trouble.OWN_FAULT:
        found = f"a fault of Volplane itself ({failed.said}), not of the recording"
        remedy = "Please report it to those you have Volplane from, with this file."
        return Problem(path, "", found, expected, remedy, "own-fault")
    found, code = {
        Trouble.CRASHED: (f"a recording that ended the process working on it ({failed.said})", "worker-crashed"),
        Trouble.TOO_LONG: (f"a recording that was worked on for more than {failed.said}", "worker-too-long"),
        Trouble.TOO_MUCH_MEMORY: (f"a recording that needs more memory than {failed.said}", "worker-too-much-memory"),
    }[failed.trouble]
    remedy = "Export it again from the recorder, or send the part with the lesson only."
    return Problem(path, "", found, expected, remedy, code)


def renamed(problems: tuple[Problem, ...], path: str) -> tuple[Problem, ...]:
    """Problems with the recording named as it was met in its folder."""
    name = path.rsplit("/", 1)[-1]
    return tuple(replace(each, file=path) if each.file in ("", name) else each for each in problems)
