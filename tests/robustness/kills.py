"""Builds killed at random moments: afterwards the old result stands whole or the new one does, and it verifies.

`python -m tests.robustness.kills --times 300` prints how many kills came when, and what stood after each.
"""

from __future__ import annotations

import argparse
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from tests.robustness.asking import ask, files_in, flow, put, written
from tests.robustness.faults import state
from tests.robustness.recipes_to_try import SHOP, SOUND


def recipes(folder: Path) -> tuple[Path, Path]:
    """Two recipes of one name, whose files differ."""
    written(folder, flow(SHOP), "shop.yaml")
    small = put(put(SOUND, ("part", "depth"), 30), ("form",), {"body": "band", "backing": 130})
    one, other = (written(folder, flow(put(small, ("part", "tolerance"), t)), f"{t}.yaml") for t in (0.8, 0.9))
    return one, other


def begun(recipe: Path, output: Path) -> subprocess.Popen[bytes]:
    """`formgen build`, begun in a session of its own."""
    words = [sys.executable, "-m", "formgen", "build", str(recipe), "--output", str(output)]
    environment = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}
    return subprocess.Popen(words, env=environment, start_new_session=True, stderr=subprocess.PIPE)


def killed(recipe: Path, output: Path, after_s: float | None) -> bool:
    """`formgen build`, killed with all its processes after so long, or never; whether it had ended before."""
    process = begun(recipe, output)
    try:
        _, err = process.communicate(timeout=after_s)
        assert process.returncode == 0, err.decode()
    except subprocess.TimeoutExpired:
        os.killpg(process.pid, signal.SIGKILL)
        process.communicate()
        return False
    return True


def trial(times: int, seed: int, tell: bool = True) -> Counter[str]:  # noqa: FBT001, FBT002 -- for its own command line
    """Kill builds one after another in the same folder; AssertionError where a result is not whole."""
    chosen = random.Random(seed)  # noqa: S311 -- a moment, not a secret
    counts: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        output = folder / "output"
        pair = recipes(folder)
        whole = []
        for recipe in pair:
            begin = time.perf_counter()
            killed(recipe, output, None)
            takes_s = time.perf_counter() - begin
            whole.append(state(output))
        for i in range(times):
            before = state(output)
            ended = killed(pair[i % 2], output, chosen.uniform(0.0, 1.3 * takes_s))
            after = state(output)
            assert after in whole, sorted(set(after) ^ set(whole[0]))
            assert after == before or after == whole[i % 2]
            new = "the new result stands" if after == whole[i % 2] and after != before else "the old result stands"
            counts[f"{'ended before its kill' if ended else 'killed'}: {new}"] += 1
            if i % 25 == 0:
                answer = ask("verify", output / "hatch")
                assert answer.code == 0, answer.err
                counts["verified"] += 1
        for part in output.glob(".hatch.*.part"):  # as an hour later
            os.utime(part, (0, 0))
        killed(pair[0], output, None)
        assert files_in(output) == whole[0], "something was left lying about"
    if tell:
        for what, count in sorted(counts.items()):
            print(f"{count:6d}  {what}")  # noqa: T201 -- the command's answer
    return counts


def main() -> None:
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m tests.robustness.kills", description=__doc__)
    parser.add_argument("--times", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    trial(asked.times, asked.seed)


if __name__ == "__main__":
    main()
