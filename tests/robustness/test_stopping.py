"""Told to stop: interrupt, SIGTERM or closed terminal, early or late, the program alone or all its processes."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from formgen.outputs.folder.exclusive import STALE_S
from formgen.outputs.folder.whole import sweep, whole_folder
from formgen.stopping import CODE, SAID
from tests.robustness.asking import ask, files_in
from tests.robustness.faults import state
from tests.robustness.kills import begun, recipes, schedule
from tests.robustness.processes import ROOT, children, comes_true, parts, runs, start, stop

pytestmark = pytest.mark.skipif(not Path("/proc/self").exists(), reason="looks at processes as Linux shows them")

ALL = [signal.SIGINT, signal.SIGTERM, signal.SIGHUP]
_EARLY = """
import os, sys
class Hook:
    def find_spec(self, name, path=None, target=None):
        if name == WANTED:
            os.kill(os.getpid(), NUMBER)
        return None
WANTED, NUMBER = sys.argv[1], int(sys.argv[2])
sys.argv[1:] = sys.argv[3:]
sys.meta_path.insert(0, Hook())
from formgen.cli import program
program()
"""


def _words(folder: Path) -> list[str | Path]:
    """A batch of three openings, two forms at a time."""
    base, _ = recipes(folder)
    words: list[str | Path] = ["batch", schedule(folder, 3), "--base", base, "--output", folder / "output", "--apart"]
    return [*words, "--no-sheets", "--workers", "2", "--anyway"]


def _batch(folder: Path) -> subprocess.Popen[bytes]:
    """That batch, begun."""
    return start(*_words(folder))


@pytest.mark.parametrize("number", ALL)
@pytest.mark.parametrize("module", ["formgen.cli.commands", "click", "formgen.pipeline", "numpy", "formgen.cli.tables"])
def test_told_while_it_is_loading(tmp_path: Path, module: str, number: int) -> None:
    one, _ = recipes(tmp_path)
    command = [sys.executable, "-c", _EARLY, module, str(int(number)), "check", str(one)]
    done = subprocess.run(command, env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True, check=False)
    assert (done.returncode, done.stdout, done.stderr.decode()) == (CODE, b"", f"{SAID}\n")


@pytest.mark.parametrize("everybody", [False, True], ids=["alone", "all processes"])
@pytest.mark.parametrize("number", ALL)
def test_told_while_it_is_writing(tmp_path: Path, number: int, *, everybody: bool) -> None:
    one, _ = recipes(tmp_path)
    output = tmp_path / "output"
    with begun(one, output) as process:
        assert comes_true(lambda: bool(parts(output)))
        err = stop(process, number, everybody=everybody)
    assert (process.returncode, err.decode()) == (CODE, f"{SAID}\n")
    assert files_in(output) == {}
    assert not parts(output)


def test_a_signal_that_is_ignored_stays_ignored(tmp_path: Path) -> None:
    one, _ = recipes(tmp_path)
    line = f"trap '' HUP; exec {sys.executable} -m formgen build {one} --output {tmp_path / 'output'}"
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    with subprocess.Popen(["bash", "-c", line], env=environment, stderr=subprocess.PIPE) as process:
        assert comes_true(lambda: bool(parts(tmp_path / "output")))
        process.send_signal(signal.SIGHUP)
        _, err = process.communicate(timeout=60)
    assert process.returncode == 0, err


@pytest.mark.parametrize(
    ("number", "everybody"), [(signal.SIGINT, True), (signal.SIGTERM, False), (signal.SIGHUP, True)]
)
def test_a_batch_that_is_told(tmp_path: Path, number: int, *, everybody: bool) -> None:
    output = tmp_path / "output"
    with _batch(tmp_path) as process:
        assert comes_true(lambda: bool(parts(output)))
        err = stop(process, number, everybody=everybody)
    assert (process.returncode, err.decode().splitlines()[-1]) == (CODE, SAID)
    assert b"Traceback" not in err
    assert not parts(output)
    for folder in output.iterdir():
        assert ask("verify", folder).code == 0
    done = ask(*_words(tmp_path))
    assert done.code == 0, done.err
    assert len([folder for folder in output.iterdir() if folder.is_dir()]) == 3


HALF_BEGUN = """
import os, sys
from formgen.stopping import Stopped, deaf_children, hear_signals, put_away_first
hear_signals()
try:
    with put_away_first(), deaf_children():
        os.kill(os.getpid(), int(sys.argv[1]))
        for _ in range(1000):
            pass
        print("begun", flush=True)
except Stopped:
    print("stopped")
"""


@pytest.mark.parametrize("number", ALL)
def test_what_is_heard_while_a_process_is_begun_is_acted_on_when_it_has(number: int) -> None:
    """Else it is known to nobody, goes on alone, and finds its locks gone."""
    done = subprocess.run(
        [sys.executable, "-c", HALF_BEGUN, str(int(number))],
        check=False,
        capture_output=True,
        text=True,
        cwd=ROOT,
        timeout=60,
    )
    assert done.stdout.split() == ["begun", "stopped"], done.stderr


@pytest.mark.parametrize("number", [signal.SIGKILL, signal.SIGTERM])
def test_a_worker_of_a_batch_killed_alone(tmp_path: Path, number: int) -> None:
    output = tmp_path / "output"
    with _batch(tmp_path) as process:
        assert comes_true(lambda: bool(parts(output)))
        worker = int(parts(output)[0].name.split(".")[-2])
        assert worker in children(process.pid)
        os.kill(worker, number)
        _, err = process.communicate(timeout=120)
    assert process.returncode == 0, err
    assert not parts(output)
    assert len([folder for folder in output.iterdir() if folder.is_dir()]) == 3
    for folder in output.glob("W*"):
        assert ask("verify", folder).code == 0


def test_the_workers_of_a_batch_that_was_killed_end_too(tmp_path: Path) -> None:
    output = tmp_path / "output"
    with _batch(tmp_path) as process:
        assert comes_true(lambda: bool(parts(output)))
        workers = children(process.pid)
        assert workers
        process.kill()
    assert comes_true(lambda: not any(map(runs, workers)), 30.0)


def test_a_kernel_that_dies_is_named_and_not_the_folder(tmp_path: Path) -> None:
    one, _ = recipes(tmp_path)
    output = tmp_path / "output"
    with begun(one, output) as process:
        assert comes_true(lambda: bool(parts(output)))
        os.kill(children(process.pid)[0], signal.SIGKILL)
        _, err = process.communicate(timeout=60)
    last = err.decode().splitlines()[-1]
    assert process.returncode == 4
    assert "solid kernel's process ended" in last
    assert "output folder" not in last
    assert not parts(output)


def test_what_a_kill_left_is_swept_at_once_and_what_runs_is_not(tmp_path: Path) -> None:
    one, other = recipes(tmp_path)
    output = tmp_path / "output"
    with begun(one, output) as process:
        assert comes_true(lambda: bool(parts(output)))
        os.killpg(process.pid, signal.SIGKILL)
        process.communicate(timeout=60)
    assert parts(output)
    (output / ".someone.else.part").mkdir()
    with whole_folder(output, "another", "job.json") as part:
        os.utime(part, (0, time.time() - 10.0))
        assert ask("build", other, "--output", output).code == 0
        assert parts(output) == [output / ".someone.else.part", part] or set(parts(output)) == {
            output / ".someone.else.part",
            part,
        }
    assert set(state(output)) == {f"hatch/{name}" for name in files_in(output / "hatch")}


def test_parts_of_files_are_swept_when_an_hour_has_gone_by(tmp_path: Path) -> None:
    old, young = tmp_path / ".building.csv.12.part", tmp_path / ".building.json.0123456789abcdef.part"
    for path in (old, young):
        path.touch()
    os.utime(old, (0, time.time() - 1.1 * STALE_S))
    sweep(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == [young.name]
