"""The program as a process that is watched: begun, told to stop or killed, and what is left of it."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

ROOT = Path(__file__).parents[2]


def start(*words: str | Path, stderr: int = subprocess.PIPE, first: str = "") -> subprocess.Popen[bytes]:
    """`formgen …`, begun in a session of its own; code that is run first."""
    program = ["-c", f"{first}\nfrom formgen.cli import program\nprogram()"] if first else ["-m", "formgen"]
    command = [sys.executable, *program, *map(str, words)]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    pipe = subprocess.PIPE
    return subprocess.Popen(command, env=environment, start_new_session=True, stdout=pipe, stderr=stderr)


def parts(folder: Path) -> list[Path]:
    """What is half written in a folder."""
    return list(folder.glob(".*.part"))


def children(process: int) -> list[int]:
    """Processes of formgen below a process: its solid kernel, or its workers. As Linux shows them."""
    found = []
    for path in Path("/proc").glob("[0-9]*"):
        try:
            parent = int((path / "stat").read_text().rsplit(")", 1)[1].split()[1])
            if parent == process and b"spawn_main" in (path / "cmdline").read_bytes():
                found.append(int(path.name))
        except OSError:
            continue
    return found


def runs(process: int) -> bool:
    """Whether a process is there and has not ended."""
    try:
        return Path(f"/proc/{process}/stat").read_text().rsplit(")", 1)[1].split()[0] != "Z"
    except OSError:
        return False


def comes_true(holds: Callable[[], bool], within_s: float = 60.0) -> bool:
    """Whether something came true in time."""
    end = time.monotonic() + within_s
    while time.monotonic() < end:
        if holds():
            return True
        time.sleep(0.002)
    return False


def stop(process: subprocess.Popen[bytes], number: int, *, everybody: bool) -> bytes:
    """Tell a process, or all of its session, to stop; wait until none of them runs; what it said on stderr."""
    below = children(process.pid)
    with suppress(ProcessLookupError):
        (os.killpg if everybody else os.kill)(process.pid, number)
    _, err = process.communicate(timeout=120)
    assert comes_true(lambda: not any(map(runs, below))), f"{signal.Signals(number).name}: a child outlived it"
    return err
