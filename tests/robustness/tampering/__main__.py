"""Every trick in turn on a finished folder: `python -m tests.robustness.tampering` prints what `verify` answered.

The program is asked as its own process: nothing here imports it.
"""

from __future__ import annotations

import argparse
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path

from tests.robustness.tampering.all_tricks import TRICKS

ROOT = Path(__file__).parents[3]


def asked(*words: str | Path) -> tuple[int, str]:
    """A command's exit code and what it said."""
    command = [sys.executable, "-m", "formgen", *map(str, words)]
    done = subprocess.run(command, capture_output=True, check=False, cwd=ROOT, timeout=120)
    return done.returncode, (done.stdout + done.stderr).decode("utf-8", "replace")


def main() -> int:
    """The command: 1 where a trick was answered otherwise than promised."""
    parser = argparse.ArgumentParser(prog="python -m tests.robustness.tampering", description=__doc__)
    parser.add_argument("--recipe", type=Path, default=ROOT / "recipes" / "porch-door-jamb.yaml")
    recipe = parser.parse_args().recipe
    counts: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as name:
        whole, copy = Path(name) / "whole", Path(name) / "copy"
        code, said = asked("build", recipe, "--output", whole)
        assert code == 0, said
        for trick in TRICKS:
            shutil.rmtree(copy, ignore_errors=True)
            shutil.copytree(whole / recipe.stem, copy / recipe.stem)
            trick.does(copy / recipe.stem)
            code, said = asked("verify", copy / recipe.stem)
            good = code == trick.code and trick.says in said and "Traceback" not in said
            counts[f"exit {code}" if good else "NOT AS PROMISED"] += 1
            if not good:
                print(f"{trick.name}: exit {code}, expected {trick.code}: {said[:300]!r}")
    for answer, count in sorted(counts.items()):
        print(f"{count:6d}  {answer}")
    return 1 if counts["NOT AS PROMISED"] else 0


if __name__ == "__main__":
    sys.exit(main())
