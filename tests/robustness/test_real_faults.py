"""Faults with whole builds: a disk that is really full or read-only, and two builds of one job at once."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.robustness.asking import ask, files_in
from tests.robustness.faults import state
from tests.robustness.kills import begun, recipes

Tried = Callable[[str], None]


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Callable[[str], Path]]:
    """Mounts a disk in memory, or mounts it anew, with the options given; skipped where that is not allowed."""
    disk = tmp_path / "disk"
    disk.mkdir()

    def mounted(options: str) -> Path:
        words = ["mount", "-t", "tmpfs", "-o", options, "tmpfs", str(disk)]
        done = subprocess.run(words, check=False, capture_output=True)
        if done.returncode:
            pytest.skip("this user may not mount a disk")
        return disk

    try:
        yield mounted
    finally:
        while os.path.ismount(disk):
            subprocess.run(["umount", str(disk)], check=True)


@pytest.mark.skipif(sys.platform != "linux" or shutil.which("mount") is None, reason="no disks are mounted here")
def test_a_real_disk_that_is_full_or_read_only(tmp_path: Path, small_disk: Callable[[str], Path], tried: Tried) -> None:
    one, other = recipes(tmp_path)
    output = small_disk("size=64m") / "output"
    assert ask("build", one, "--output", output).code == 0
    old, needs = state(output), sum(path.stat().st_size for path in output.rglob("*") if path.is_file())
    for room in (0.02, 0.4, 0.8, 0.99):
        filling = output.parent / "filling"
        free = shutil.disk_usage(output).free
        filling.write_bytes(bytes(int(free - room * needs)))
        done = ask("build", other, "--output", output)
        assert (done.code, done.err.count("\n")) == (4, 1), done.err
        assert re.search("(the disk is|is the disk) full", done.err), done.err
        assert files_in(output) == old
        assert ask("verify", output / "hatch").code == 0
        filling.unlink()
        tried("faults: a real disk is full")
    small_disk("remount,ro")
    done = ask("build", other, "--output", output)
    assert (done.code, "the disk is read-only" in done.err) == (4, True), done.err
    assert files_in(output) == old
    tried("faults: a real disk is read-only")
    small_disk("remount,rw")
    assert ask("build", other, "--output", output).code == 0
    assert state(output) != old


def test_two_whole_builds_at_once(tmp_path: Path, tried: Tried) -> None:
    pair = recipes(tmp_path)
    whole = []
    for recipe in pair:
        assert ask("build", recipe, "--output", tmp_path / "alone").code == 0
        whole.append(state(tmp_path / "alone"))
    both = [begun(recipe, tmp_path / "output") for recipe in pair]
    for process in both:
        _, err = process.communicate(timeout=120)
        assert process.returncode in (0, 4), err.decode()
        assert b"Traceback" not in err
        tried("faults: two whole builds at once")
    assert 0 in [process.returncode for process in both]
    assert state(tmp_path / "output") in whole
    assert ask("verify", tmp_path / "output" / "hatch").code == 0
    assert ask("build", pair[0], "--output", tmp_path / "output").code == 0
    assert files_in(tmp_path / "output") == whole[0]
