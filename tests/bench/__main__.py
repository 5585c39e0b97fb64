"""One form: `formgen build` and `formgen check` against a plain CadQuery script for the same form, in one run.

Each is a whole process, so that imports count. The least of a few repeats is taken; ratios are what to read.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from tests.bench.batch import compare

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


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    parser.add_argument("--repeats", type=int, default=5)
    parser.add_argument("--batch", type=int, nargs="*", metavar="FORMS", help="many forms: 20 and 100, or those given")
    asked = parser.parse_args()
    if asked.batch is not None:
        for count in asked.batch or (20, 100):
            compare(count)
        return
    repeats = asked.repeats
    with tempfile.TemporaryDirectory() as folder:
        plain = [sys.executable, "-m", "tests.bench.plain_form", f"{folder}/plain"]
        build = [sys.executable, "-m", "formgen", "build", str(RECIPE), "--output", f"{folder}/ours"]
        check = [sys.executable, "-m", "formgen", "check", str(RECIPE)]
        rows = [("plain CadQuery script", plain), ("formgen build", build), ("formgen check", check)]
        found = {name: least_seconds(command, repeats) for name, command in rows}
    base = found["plain CadQuery script"]
    for name, seconds in found.items():
        print(f"{name:<24}{seconds:8.2f} s   {seconds / base:5.2f} of the plain script")


if __name__ == "__main__":
    main()
