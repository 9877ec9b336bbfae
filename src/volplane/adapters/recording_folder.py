"""The recordings in a folder and below it, and those that come into it while it is watched."""

from __future__ import annotations

import os
import pathlib
import stat
from collections.abc import Iterator

from volplane.errors import FilesRefused, Problem

# a file that has not changed for so long is taken as whole; ours
SETTLED_S = 3.0


def files_below(folder: pathlib.Path) -> tuple[str, ...]:
    """The ordinary files below a folder as paths within it, in order; hidden ones and links to folders are left out.

    :raises FilesRefused: there is no such folder, or it cannot be read.
    """
    return tuple(sorted(path for path, _ in _listed(folder)))


class WatchedFolder:
    """A folder looked at again and again: each file is told once it stopped changing, and again when it changed."""

    def __init__(self, folder: pathlib.Path, settled_s: float = SETTLED_S) -> None:
        self._folder = folder
        self._settled_s = settled_s
        self._seen: dict[str, tuple[tuple[int, int], float]] = {}
        self._told: dict[str, tuple[int, int]] = {}

    def settled(self, now_s: float) -> tuple[str, ...]:
        """The files that are whole and were not told yet, `now_s` by a clock that never goes back.

        :raises FilesRefused: the folder is gone.
        """
        found = dict(_listed(self._folder))
        ready = []
        for path, state in sorted(found.items()):
            if path not in self._seen or self._seen[path][0] != state:
                self._seen[path] = (state, now_s)
            elif self._told.get(path) != state and now_s - self._seen[path][1] >= self._settled_s:
                self._told[path] = state
                ready.append(path)
        for gone in self._seen.keys() - found.keys():
            del self._seen[gone]
            self._told.pop(gone, None)
        return tuple(ready)


def _listed(folder: pathlib.Path) -> Iterator[tuple[str, tuple[int, int]]]:
    """Path within the folder, and size and time of the last change, of each ordinary file."""
    if not folder.is_dir():
        found = "no folder" if folder.exists() else "no such folder"
        raise _refused(folder, found, "Check the name, or give the path from where the command is run.")
    for place, folders, names in os.walk(folder, onerror=_unreadable):
        folders[:] = [each for each in folders if not each.startswith(".")]
        for name in names:
            path = pathlib.Path(place, name)
            try:
                state = path.stat()
            except OSError:
                # taken away between listing and looking
                continue
            if stat.S_ISREG(state.st_mode) and not name.startswith("."):
                yield path.relative_to(folder).as_posix(), (state.st_size, state.st_mtime_ns)


def _unreadable(fault: OSError) -> None:
    reason = (fault.strerror or "an unknown fault").lower()
    raise _refused(pathlib.Path(fault.filename), f"a folder that cannot be read ({reason})", "Check who may read it.")


def _refused(folder: pathlib.Path, found: str, remedy: str) -> FilesRefused:
    return FilesRefused((Problem(str(folder), "", found, "a folder with recordings", remedy, "folder-unreadable"),))
