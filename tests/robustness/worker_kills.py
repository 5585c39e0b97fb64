"""One process of a batch killed alone: a worker of its own, a worker of a Dask cluster, or all that the cluster has.

The batch ends by itself, with all forms or with a line for what is missing; a next run makes the result whole.
"""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.robustness.asking import ask
from tests.robustness.faults import state
from tests.robustness.kills import recipes, schedule
from tests.robustness.processes import children, comes_true, parts, start

#: Who is killed.
VICTIMS = ("a worker", "a Dask worker", "all Dask workers")
FORMS = 3
#: A batch that lost its last worker waits half a minute for another; here three seconds.
_WAITS_LESS = """
from functools import partial
from formgen.building.running import engine
engine.Cluster = partial(engine.Cluster, waited_s=3.0)
"""
LONGEST_S = 180


class Workers:
    """A Dask scheduler and workers in processes of their own, without anybody who starts them again.

    Args:
        folder: for what they write.
        count: of workers.
    """

    def __init__(self, folder: Path, count: int) -> None:
        self._folder = folder
        told = folder / "scheduler.json"
        self._scheduler = self._begun("scheduler", "--host", "127.0.0.1", "--port", "0", "--scheduler-file", told)
        assert comes_true(lambda: told.exists() and bool(told.read_text(encoding="utf-8").strip()))
        self.address = str(json.loads(told.read_text(encoding="utf-8"))["address"])
        self._workers: list[subprocess.Popen[bytes]] = []
        self.more(count)

    def more(self, count: int) -> None:
        """Start workers; they are there when this comes back."""
        import distributed

        whole = len([worker for worker in self._workers if worker.poll() is None]) + count
        for _ in range(count):
            words = (self.address, "--nthreads", "1", "--no-nanny", "--local-directory", self._folder / "scratch")
            self._workers.append(self._begun("worker", *words))
        make: object = distributed.Client
        with make(self.address, set_as_default=False) as client:  # type: ignore[operator]
            assert comes_true(lambda: len(client.nthreads()) == whole)

    def _begun(self, what: str, *words: str | Path) -> subprocess.Popen[bytes]:
        command = [sys.executable, "-m", f"distributed.cli.dask_{what}", *map(str, words), "--no-dashboard"]
        nowhere = subprocess.DEVNULL
        return subprocess.Popen(command, stdout=nowhere, stderr=nowhere, cwd=Path(__file__).parents[2])

    def end(self) -> None:
        """Kill what still runs."""
        for process in (*self._workers, self._scheduler):
            process.kill()
            process.wait()


@contextmanager
def workers(folder: Path, victim: str) -> Iterator[Workers | None]:
    """The cluster that there is somebody of to kill; None where a batch has its own workers."""
    if victim == "a worker":
        yield None
        return
    cluster = Workers(folder, 1 if victim == "all Dask workers" else 2)
    try:
        yield cluster
    finally:
        cluster.end()


def killed_alone(victim: str, seed: int) -> str:
    """Kill it at a random moment while a form is half written; what was seen; AssertionError for anything else."""
    chosen = random.Random(f"{victim} {seed}")  # noqa: S311 -- a moment, not a secret
    with tempfile.TemporaryDirectory() as name, workers(Path(name), victim) as cluster:
        folder = Path(name)
        base, _ = recipes(folder)
        output = folder / "output"
        words: list[str | Path] = ["batch", schedule(folder, FORMS), "--base", base, "--output", output, "--apart"]
        words += ["--no-sheets", "--anyway"]
        words += ["--workers", "2"] if cluster is None else ["--engine", f"dask={cluster.address}"]
        process = start(*words, first=_WAITS_LESS if victim == "all Dask workers" else "")
        try:
            assert comes_true(lambda: bool(parts(output)))
            time.sleep(chosen.uniform(0.0, 1.0))
            half: list[Path] = []
            assert comes_true(lambda: bool(half.extend(parts(output)) or half)), "nothing is half written any longer"
            owner = int(half[0].name.split(".")[-2])
            assert cluster is not None or owner in children(process.pid)
            os.kill(owner, chosen.choice((signal.SIGKILL, signal.SIGTERM)) if cluster is None else signal.SIGKILL)
            _, told = process.communicate(timeout=LONGEST_S)
        finally:
            process.kill()
        err = told.decode()
        assert "Traceback" not in err, err
        lines = [line for line in err.split("\n") if "no worker is left" in line]
        assert (process.returncode, len(lines)) == ((1, 1) if victim == "all Dask workers" else (0, 0)), err
        stood = {path.split("/")[0] for path in state(output) if "/" in path}
        if cluster is not None and victim == "all Dask workers":
            cluster.more(1)
        again = start(*words)
        _, told = again.communicate(timeout=LONGEST_S)
        assert again.returncode == 0, told.decode()
        assert not parts(output)
        made = [path for path in output.iterdir() if path.is_dir()]
        assert len(made) == FORMS
        assert all(ask("verify", path).code == 0 for path in made)
        return f"{len(stood)} of {FORMS} forms made, exit {process.returncode}; the next run all"
