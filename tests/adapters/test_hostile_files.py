"""Files made to hurt are refused in a sentence, each in a process of its own whose memory is watched."""

from __future__ import annotations

import json
import pathlib
import subprocess
import sys

import pytest

from tests.adapters.hostile import HOSTILE

ROOT = pathlib.Path(__file__).resolve().parents[2]
# the interpreter and numpy take 40, an unpacked file at most 256 and its pieces as much again
MOST_MB = 700
# generous: the machine may be busy; without a bound these take minutes or for ever
LONGEST_S = 120
QUICK = ("two gigabytes", "entities inside entities", "a zip of seventy thousand files", "damaged lines without end")


def answer(which: str, folder: pathlib.Path) -> None:
    command = [sys.executable, "-m", "tests.adapters.hostile", which, str(folder)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=LONGEST_S, check=False)
    assert done.returncode == 0, done.stderr[-2000:]
    said = json.loads(done.stdout)
    assert not said["has_track"]
    assert said["codes"]
    assert all("\n" not in sentence and len(sentence) < 600 for sentence in said["sentences"])
    assert said["more_mb"] < MOST_MB


@pytest.mark.parametrize("which", QUICK)
def test_a_file_made_to_hurt_is_refused_in_a_sentence(which: str, tmp_path: pathlib.Path) -> None:
    answer(which, tmp_path)


@pytest.mark.long
@pytest.mark.parametrize("which", [each for each in HOSTILE if each not in QUICK])
def test_large_files_made_to_hurt_are_refused_in_a_sentence(which: str, tmp_path: pathlib.Path) -> None:
    answer(which, tmp_path)
