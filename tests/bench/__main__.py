"""Speed beside a plain CadQuery script for the same form, in one run; ratios are what to read.

One form and `formgen check` as whole processes, so that imports count, the least of a few repeats; 20 forms, and again
with nothing changed, with the memory of the greatest process (`batch`); growth with layers and with the pieces of the
curve (`growth`). Growth with openings: `--batch 1 20 100 1000`. Sheets: `python -m tests.bench.sheets`.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from tests.bench import batch, growth

ROOT = Path(__file__).parents[2]
RECIPE = ROOT / "recipes" / "porch-door-jamb.yaml"


def least_seconds(command: list[str], repeats: int) -> float:
    """Least wall time of a command; it must succeed."""
    times = []
    for _ in range(repeats):
        begin = time.perf_counter()
        subprocess.run(command, check=True, capture_output=True, cwd=ROOT)
        times.append(time.perf_counter() - begin)
    return min(times)


def one_form(repeats: int) -> None:
    """Measure and print one form."""
    with tempfile.TemporaryDirectory() as folder:
        plain = [sys.executable, "-m", "tests.bench.plain_form", f"{folder}/plain"]
        kernel = [sys.executable, "-c", "import os, cadquery; os._exit(0)"]
        build = [sys.executable, "-m", "formgen", "build", str(RECIPE), "--output", f"{folder}/ours"]
        check = [sys.executable, "-m", "formgen", "check", str(RECIPE)]
        rows = [("plain CadQuery script", plain), ("import cadquery", kernel), ("formgen build", build)]
        rows.append(("formgen check", check))
        found = {name: least_seconds(command, repeats) for name, command in rows}
    base = found["plain CadQuery script"]
    for name, seconds in found.items():
        print(f"{name:<24}{seconds:8.2f} s   {seconds / base:5.2f} of the plain script", flush=True)


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    parser.add_argument("--repeats", type=int, default=5)
    parser.add_argument("--batch", type=int, nargs="+", metavar="FORMS", help="nothing but so many forms at once")
    asked = parser.parse_args()
    if asked.batch is None:
        one_form(asked.repeats)
        growth.compare()
    for count in asked.batch or (20,):
        batch.compare(count)


if __name__ == "__main__":
    main()
