"""All classes of the bench, one after another: `python -m tests.robustness --seconds 600` prints a table of counts.

Each takes its share of the time, the slow ones at least one try; 1 is the exit code where a promise was broken.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

from tests.robustness.bench import CLASSES, SILENT, heading, taken


def main() -> int:
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m tests.robustness", description=__doc__)
    parser.add_argument("--seconds", type=float, default=600.0, help="in all")
    parser.add_argument("--seed", type=int, default=1, help="another one tries other inputs")
    parser.add_argument("--only", choices=CLASSES, help="one class, for all of the time")
    asked = parser.parse_args()
    chosen = [asked.only] if asked.only else list(CLASSES)
    faults: list[str] = []
    _say(heading())
    for name in chosen:
        with tempfile.TemporaryDirectory() as folder:
            row = taken(name, CLASSES[name], Path(folder), asked.seed, asked.seconds / len(chosen))
        _say(str(row))
        faults += row.faults
        if row.counts[SILENT]:
            faults.append(f"{name}: {row.counts[SILENT]} passed in silence")
    for fault in faults:
        _say(fault)
    return 1 if faults else 0


def _say(line: str) -> None:
    print(line, flush=True)  # noqa: T201 -- the command's answer


if __name__ == "__main__":
    sys.exit(main())
