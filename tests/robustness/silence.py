"""How long a batch of many openings says nothing while it is planned, on a terminal and through a pipe.

`python -m tests.robustness.silence --openings 1000` prints the longest silence of each; nothing is built.
"""

from __future__ import annotations

import argparse
import os
import re
import select
import signal
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from tests.robustness.kills import recipes, schedule
from tests.robustness.processes import start

#: Nobody is kept without a word for longer (s).
LONGEST_S = 2.0
#: What moves a terminal's cursor or sets its colours, and a bar's own words about time: no news.
_NO_NEWS = re.compile(rb"\x1b\[[0-9;?]*[a-zA-Z]|\d+:\d\d:\d\d|[-:\r\n ]")
_PLANNED = re.compile(r"\d+openings,\d+forms")


def heard(count: int, *, terminal: bool) -> list[tuple[float, str]]:
    """What a batch of so many openings said anew until it was planned, and when (s from its start)."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        base, _ = recipes(folder)
        words = [
            "batch",
            schedule(folder, count),
            "--base",
            base,
            "--output",
            folder / "output",
            "--no-sheets",
            "--anyway",
        ]
        near, far = os.openpty() if terminal else os.pipe()
        begin = time.monotonic()
        process = start(*words, stderr=far)
        os.close(far)
        found = [(0.0, "")]
        try:
            for told in _news(near):
                found.append((time.monotonic() - begin, told))
                if _PLANNED.search(told):
                    break
            else:
                raise AssertionError("it ended before it was planned")
        finally:
            os.killpg(process.pid, signal.SIGKILL)
            process.communicate()
            os.close(near)
        return found


def _news(near: int) -> Iterator[str]:
    """What comes that was not there before; empty texts while nothing does."""
    before = b""
    while True:
        if not select.select([near], [], [], 0.1)[0]:
            yield before.decode(errors="replace")
            continue
        try:
            raw = os.read(near, 65536)
        except OSError:  # a terminal that nobody writes on any longer
            return
        if not raw:
            return
        frame = _NO_NEWS.sub(b"", raw)
        if frame and frame != before:
            before = frame
        yield before.decode(errors="replace")


def longest_s(found: list[tuple[float, str]]) -> tuple[float, str]:
    """The longest silence, and what had been said before it."""
    worst, since, said = (0.0, ""), found[0][0], ""
    for at_s, told in found:
        if told != said or at_s == found[-1][0]:
            worst = max(worst, (at_s - since, said))
            since, said = at_s, told
    return worst


def main() -> None:
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m tests.robustness.silence", description=__doc__)
    parser.add_argument("--openings", type=int, default=1000)
    count = parser.parse_args().openings
    for terminal in (True, False):
        found = heard(count, terminal=terminal)
        silent_s, after = longest_s([held for held in found if held[1]])
        first_s = next(at_s for at_s, told in found if told)
        said = len({told for _, told in found})
        where = "on a terminal" if terminal else "through a pipe"
        print(  # noqa: T201 -- the command's answer
            f"{where}: {count} openings planned in {found[-1][0]:.1f} s, {said} different things said, the first after "
            f"{first_s:.1f} s, then the longest silence {silent_s:.1f} s, after {after[:60]!r}"
        )


if __name__ == "__main__":
    main()
