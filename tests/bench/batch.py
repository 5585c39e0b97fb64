"""Many forms: `formgen batch` against the plain CadQuery script called in a loop in one process.

Every opening is a porch jamb of a width of its own and gets a form of its own, so that both make as many like forms;
sheets are left out, since the plain script lays out none (`python -m tests.bench.sheets` measures those).
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
        plain, plain_mb = measured([sys.executable, "-c", LOOP, f"{folder}/plain", str(count)])
        print(f"{count} forms, plain CadQuery loop{60 * count / plain:9.1f} forms/min   1.00{plain_mb:9.0f} MB")
        for workers in dict.fromkeys((1, os.cpu_count() or 1)):
            command = batch_command(folder, workers)
            seconds, mb = measured(command)
            again, _ = measured(command)
            print(
                f"{count} forms, formgen, {workers} at once {60 * count / seconds:9.1f} forms/min "
                f"{plain / seconds:6.2f}{mb:9.0f} MB   again, nothing to do: {again:.2f} s"
            )
