"""Processes that work on recordings, each started anew ("spawn") and watched: a dead or endless one is replaced.

The pool of the standard library gives up as a whole when one of its processes dies; here the recording that did it is
known. A process ends by itself when the program that started it is gone, however that ended.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import pathlib
import signal
import threading
import time
import traceback
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from multiprocessing.connection import Connection, wait
from multiprocessing.context import SpawnProcess
from typing import Generic, TypeVar

import volplane
from volplane.services.many_recordings import Answered, Failed, Task, Trouble

A = TypeVar("A")
Work = Callable[[Task], Answered[A]]

# a debrief of the longest recording accepted takes some seconds; ours
LIMIT_S = 60.0
# compiling every kernel takes half a minute, on a busy machine some
START_LIMIT_S = 600.0
# what one process may take of memory; a debrief takes a tenth of it
LIMIT_BYTES = 3_000_000_000


class WorkersDoNotStart(RuntimeError):
    """A process ended before it was ready for its first recording: our own fault, whatever the recordings are."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What one recording may take, and its process."""

    time_s: float = LIMIT_S
    memory_bytes: int = LIMIT_BYTES
    start_s: float = START_LIMIT_S


class WorkerPool(Generic[A]):
    """`count` processes that each make one `work` of `make` (both can be pickled) and do it on one recording a time.

    To be used as a context: on leaving it no process is left.
    """

    def __init__(self, make: Callable[[], Work[A]], count: int, limits: Limits | None = None) -> None:
        self._make, self._count = make, count
        self._limits = Limits() if limits is None else limits
        self._workers: list[_Worker[A]] = []

    def __enter__(self) -> WorkerPool[A]:
        return self

    def __exit__(self, *ending: object) -> None:
        for worker in self._workers:
            worker.end()
        self._workers.clear()

    def each_done(self, take: Callable[[], Task | None]) -> Iterator[tuple[Task, Answered[A] | Failed]]:
        """Every recording `take` gives, with its answer, as they end; see `Workers`."""
        while True:
            self._give_out(take)
            busy = [each for each in self._workers if each.task is not None]
            if not busy:
                return
            wait([each.pipe for each in busy], timeout=min(each.left_s() for each in busy))
            for worker in busy:
                yield from self._ended(worker)

    def _give_out(self, take: Callable[[], Task | None]) -> None:
        """Work for everybody who has none; a process is started when there is work for it."""
        while True:
            free = next((each for each in self._workers if each.task is None), None)
            if free is None and len(self._workers) >= self._count:
                return
            task = take()
            if task is None:
                return
            if free is None:
                free = _Worker(self._make, self._limits)
                self._workers.append(free)
            free.give(task)

    def _ended(self, worker: _Worker[A]) -> Iterator[tuple[Task, Answered[A] | Failed]]:
        outcome = worker.outcome()
        if outcome is None:
            return
        task = worker.task
        assert task is not None
        worker.task = None
        if isinstance(outcome, Failed) and outcome.trouble is not Trouble.OWN_FAULT:
            worker.end()
            self._workers.remove(worker)
        yield task, outcome


class _Worker(Generic[A]):
    """One process with the recording it is at."""

    def __init__(self, make: Callable[[], Work[A]], limits: Limits) -> None:
        context = multiprocessing.get_context("spawn")
        self.pipe, theirs = context.Pipe()
        self.task: Task | None = None
        self._limits = limits
        self._is_ready = False
        self._until_s = time.monotonic() + limits.start_s
        self._process: SpawnProcess = context.Process(target=_serve, args=(make, theirs, limits), daemon=True)
        self._process.start()
        # with our copy closed, the pipe tells when the process is gone
        theirs.close()

    def give(self, task: Task) -> None:
        """Let it work on a recording, at once or as soon as it is ready."""
        self.task = task
        if self._is_ready:
            self._send()

    def left_s(self) -> float:
        """How long it may still take."""
        return max(0.0, self._until_s - time.monotonic())

    def outcome(self) -> Answered[A] | Failed | None:
        """What came of its recording; None while it is at it."""
        try:
            if self.pipe.poll():
                return self._received()
        except (EOFError, OSError):
            return self._died()
        if self.left_s() > 0.0:
            return None
        if not self._is_ready:
            raise WorkersDoNotStart(f"not ready after {self._limits.start_s:.0f} s")
        return Failed(Trouble.TOO_LONG, f"{self._limits.time_s:g} seconds")

    def end(self) -> None:
        """Leave nothing of it."""
        self._process.kill()
        self._process.join()
        self._process.close()
        self.pipe.close()

    def _send(self) -> None:
        self._until_s = time.monotonic() + self._limits.time_s
        # one that died since is noticed by what it does not answer
        with contextlib.suppress(OSError):
            self.pipe.send(self.task)

    def _received(self) -> Answered[A] | Failed | None:
        if self._is_ready:
            answer: Answered[A] | Failed = self.pipe.recv()
            return answer
        self.pipe.recv()
        self._is_ready = True
        self._send()
        return None

    def _died(self) -> Failed:
        self._process.join()
        code = self._process.exitcode or 0
        said = f"signal {-code}" if code < 0 else f"exit code {code}"
        if not self._is_ready:
            raise WorkersDoNotStart(said)
        return Failed(Trouble.CRASHED, said)


def _serve(make: Callable[[], Work[A]], pipe: Connection, limits: Limits) -> None:
    """What a process does: get ready, then answer one recording after the other until nobody asks any more."""
    # the program that started it is told to stop by the same keys, and ends it
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()
    with contextlib.suppress(EOFError, OSError):
        work = make()
        _limit_memory(limits.memory_bytes)
        pipe.send(None)
        while True:
            pipe.send(_answer(work, pipe.recv(), limits))


def _end_with_parent() -> None:
    """End at once when the program that started this process is gone, even out of work without an end."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        wait([parent.sentinel])
        os._exit(1)


def _answer(work: Work[A], task: Task, limits: Limits) -> Answered[A] | Failed:
    try:
        return work(task)
    except MemoryError:
        return Failed(Trouble.TOO_MUCH_MEMORY, f"{limits.memory_bytes / 1e9:g} GB")
    except Exception as fault:
        return Failed(Trouble.OWN_FAULT, f"{type(fault).__name__} at {_place(fault)}")


def _limit_memory(most_bytes: int) -> None:
    """Let the process take no more memory, where the system can hold it to that."""
    try:
        import resource
    except ImportError:
        return
    hard = resource.getrlimit(resource.RLIMIT_DATA)[1]
    most = most_bytes if hard == resource.RLIM_INFINITY else min(most_bytes, hard)
    with contextlib.suppress(OSError, ValueError):
        resource.setrlimit(resource.RLIMIT_DATA, (most, hard))


def _place(fault: BaseException) -> str:
    """The last line of ours that ran."""
    package = pathlib.Path(volplane.__file__).parent
    frames = reversed(traceback.extract_tb(fault.__traceback__))
    ours = (frame for frame in frames if package in pathlib.Path(frame.filename).parents)
    frame = next(ours, None)
    return "an unknown place" if frame is None else f"{pathlib.Path(frame.filename).name}:{frame.lineno}"
