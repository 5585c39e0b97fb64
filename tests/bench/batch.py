"""Many forms: `formgen batch` against the plain CadQuery script called in a loop in one process.

Every opening is a porch jamb of a width of its own and gets a form of its own, so that both make as many like forms;
sheets are left out, since the plain script lays out none (`python -m tests.bench.sheets` measures those). Past 100
forms the loop is stopped at 100, since it goes on as it began, and ours runs on all processors only.
Memory is the greatest of any one process, which is a worker's (`getrusage`; not on Windows).
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
MOST_LOOPED = 100
LOOP = """
import sys
from pathlib import Path
from tests.bench.plain_form import main
for i in range(int(sys.argv[2])):
    main(Path(sys.argv[1]) / str(i))
"""


def measured(command: list[str]) -> tuple[float, float]:
    """Wall seconds, and MB of the greatest process that the command is or starts; it must succeed."""
    probe = (
        "import resource, subprocess, sys; subprocess.run(sys.argv[1:], check=True, stdout=subprocess.DEVNULL, "
        "stderr=subprocess.DEVNULL); print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)"
    )
    begin = time.perf_counter()
    done = subprocess.run([sys.executable, "-c", probe, *command], check=True, capture_output=True, text=True, cwd=ROOT)
    per_mb = 1024.0**2 if sys.platform == "darwin" else 1024.0
    return time.perf_counter() - begin, int(done.stdout) / per_mb


def schedule(count: int, path: Path) -> None:
    """So many jambs, each 1/64 in wider than the last."""
    rows = [f"J-{i:04d},{30 + i // 64} {i % 64}/64" if i % 64 else f"J-{i:04d},{30 + i // 64}" for i in range(count)]
    path.write_text("\n".join(["opening,span", *rows]) + "\n", encoding="utf-8")


def batch_command(folder: Path, workers: int) -> list[str]:
    """The batch, every opening on a form of its own."""
    base = ROOT / "recipes" / "porch-door-jamb.yaml"
    words = ["batch", str(folder / "openings.csv"), "--base", str(base), "--output", str(folder / f"out-{workers}")]
    return [sys.executable, "-m", "formgen", *words, "--apart", "--no-sheets", "--workers", str(workers)]


def compare(count: int) -> None:
    """Measure and print one size of building."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        schedule(count, folder / "openings.csv")
        looped, everything = min(count, MOST_LOOPED), os.cpu_count() or 1
        plain, plain_mb = measured([sys.executable, "-c", LOOP, f"{folder}/plain", str(looped)])
        _tell(f"{looped} forms, plain CadQuery loop", looped / plain, looped / plain, plain_mb)
        for workers in dict.fromkeys((1, everything) if count <= MOST_LOOPED else (everything,)):
            command = batch_command(folder, workers)
            seconds, mb = measured(command)
            _tell(f"{count} forms, formgen, {workers} at once", count / seconds, looped / plain, mb)
            again, _ = measured(command)
            print(
                f"  again, nothing to do: {again:.2f} s, {again / plain * looped / count:.3f} of the loop", flush=True
            )


def _tell(what: str, forms_per_s: float, plain_per_s: float, mb: float) -> None:
    """A line: forms by the minute, time as a share of the plain loop's, greatest process."""
    share = plain_per_s / forms_per_s
    print(f"{what:<36}{60 * forms_per_s:8.1f} forms/min{share:8.2f} of the loop's time{mb:8.0f} MB", flush=True)
