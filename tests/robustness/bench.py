"""Every class of what a user, a thief or a dying machine can do, each for its share of time, in one table.

A class gives one outcome after another for ever: `refused` in lines, `good` (built, read or mended), or a silent pass:
taken for good although it is not. What it raises is a hang, a traceback or another broken promise, told with its input.
"""

from __future__ import annotations

import random
import shutil
import signal
import time
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from importlib.util import find_spec
from itertools import cycle
from pathlib import Path
from types import FrameType

from tests.robustness import drawings, hostile, kills, odd_files, workbooks
from tests.robustness.asking import Typed, ask, check_recipe, flow, put, written
from tests.robustness.recipes_to_try import SCHEDULE, SHOP, SOUND, keys_of
from tests.robustness.sweep import swept
from tests.robustness.tampering.all_tricks import TRICKS
from tests.robustness.worker_kills import VICTIMS, killed_alone

REFUSED, GOOD, SILENT = "refused", "good", "silent passes"
HANG, TRACEBACK, OTHER = "hangs", "tracebacks", "other faults"
COLUMNS = ("tried", REFUSED, GOOD, HANG, TRACEBACK, SILENT, OTHER)
#: Nothing that a class tries takes longer (s), with the runs that it begins.
LONGEST_S = 600

#: From a folder of its own and what is chosen, one outcome after another.
Tries = Callable[[Path, random.Random], Iterator[str]]


class HangError(Exception):
    """Something took too long."""


@dataclass(kw_only=True)
class Row:
    """What came of a class."""

    name: str
    counts: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)

    def __str__(self) -> str:
        cells = [sum(self.counts.values()), *(self.counts[column] for column in COLUMNS[1:])]
        return f"{self.name:38s}" + "".join(f"{cell:15d}" for cell in cells)


def heading() -> str:
    """The first line of the table."""
    return f"{'class':38s}" + "".join(f"{column:>15s}" for column in COLUMNS)


def taken(name: str, tries: Tries, folder: Path, seed: int, seconds: float) -> Row:
    """A class for its share of time; each fault ends one try and the class goes on."""
    row, end = Row(name=name), time.monotonic() + seconds
    chosen = random.Random(f"{name} {seed}")  # noqa: S311 -- inputs, not secrets
    running = tries(folder, chosen)
    while time.monotonic() < end or not row.counts:
        try:
            with _watched():
                row.counts[next(running)] += 1
        except StopIteration:
            break
        except HangError:
            row.counts[HANG] += 1
            row.faults.append(f"{name}: took more than {LONGEST_S} s")
            running = tries(folder, chosen)
        except AssertionError as err:
            row.counts[TRACEBACK if "raceback" in str(err) else HANG if "hangs" in str(err) else OTHER] += 1
            row.faults.append(f"{name}: {str(err)[:400]}")
            running = tries(folder, chosen)
        except Exception as err:  # whatever it is, it came out of the program
            row.counts[TRACEBACK] += 1
            row.faults.append(f"{name}: {err!r}"[:400])
            running = tries(folder, chosen)
    return row


class _watched:  # noqa: N801 -- used as a statement
    """HangError where what is done inside takes too long."""

    def __enter__(self) -> None:
        signal.signal(signal.SIGALRM, self._late)
        signal.alarm(LONGEST_S)

    def __exit__(self, *_how: object) -> None:
        signal.alarm(0)

    @staticmethod
    def _late(_number: int, _frame: FrameType | None) -> None:
        raise HangError


def _recipes(_folder: Path, chosen: random.Random) -> Iterator[str]:
    """Recipes made by chance, built as far as they go."""
    while True:
        outcome = swept(chosen.randrange(10**9))
        assert outcome.kind != "fault", f"seed {outcome.seed}: {outcome.reason}"
        yield GOOD if outcome.kind == "built" else REFUSED


def _values(folder: Path, chosen: random.Random) -> Iterator[str]:
    """Values that no shop writes, at any key of a recipe or a shop file."""
    numbers = [value for values in hostile.NUMBERS.values() for value in values]
    while True:
        recipe, shop = (flow(data) for data in (SOUND, SHOP))
        value = chosen.choice(numbers)
        if chosen.random() < 0.7:
            recipe = flow(put(SOUND, chosen.choice(keys_of(SOUND)), Typed(value)))
        else:
            shop = flow(put(SHOP, chosen.choice(keys_of(SHOP)), Typed(value)))
        written(folder, shop, "shop.yaml")
        yield _of(check_recipe(written(folder, recipe)).code)


def _drawings(folder: Path, chosen: random.Random) -> Iterator[str]:
    """A sound drawing with bytes changed."""
    written(folder, flow(SHOP), "shop.yaml")
    plain = put(put(SOUND, ("form",), {"body": "band", "backing": 100}), ("part", "legs"), 0)
    recipe = written(folder, flow(put(plain, ("part", "arch"), {"kind": "drawing", "file": "path.dxf"})))
    while True:
        written(folder, _changed(drawings.GOOD.encode(), chosen), "path.dxf")
        yield _of(check_recipe(recipe).code)


def _schedules(folder: Path, chosen: random.Random) -> Iterator[str]:
    """A sound schedule with bytes changed, as it is read."""
    from formgen.building.schedule.read import read_schedule
    from formgen.errors import RecipeError

    written(folder, flow(SHOP), "shop.yaml")
    base = written(folder, flow(SOUND), "base.yaml")
    while True:
        path = written(folder, _changed(SCHEDULE.encode(), chosen), "openings.csv")
        try:
            read = read_schedule(path, base)
            lines = [*read.faults, *(line for row in read.refused for line in row.lines)]
        except RecipeError as err:
            lines = str(err).split("\n")
        assert all(map(str.isprintable, lines)), lines
        yield REFUSED if lines else GOOD


def _workbooks(folder: Path, chosen: random.Random) -> Iterator[str]:
    """Workbooks damaged below their XML."""
    for kind in cycle(workbooks.CLASSES):
        raw = workbooks.damaged(kind, chosen.randrange(10**9))
        said = workbooks.looked_at(folder / "a.xlsx", raw, same=kind in workbooks.SAME_OR_REFUSED)
        yield GOOD if said == "read" else REFUSED


def _tricks(folder: Path, chosen: random.Random) -> Iterator[str]:
    """A finished folder tampered with, and verified: what is taken for good was passed in silence."""
    written(folder, flow(SHOP), "shop.yaml")
    small = put(put(SOUND, ("part", "depth"), 30), ("form",), {"body": "band", "backing": 130})
    whole, tried = folder / "whole", folder / "tried"
    assert whole.exists() or ask("build", written(folder, flow(small)), "--output", whole).code == 0
    while True:
        trick = chosen.choice(TRICKS)
        shutil.rmtree(tried, ignore_errors=True)
        shutil.copytree(whole / "hatch", tried / "hatch")
        trick.does(tried / "hatch")
        answer = ask("verify", tried / "hatch")
        assert answer.code in (0, trick.code), f"{trick.name}: {answer.err}"
        yield REFUSED if answer.code and trick.says in answer.err else SILENT


def _odd_files(folder: Path, chosen: random.Random) -> Iterator[str]:
    """Pipes, sockets, devices and links in the place of files."""
    (folder / "whole").mkdir(exist_ok=True)
    whole = odd_files.results(folder / "whole")
    cases = odd_files.cases()
    while True:
        command, kind, name = chosen.choice(cases)
        yield _of(odd_files.answered(whole, folder / "tried", command, kind, name).code)


def _kills(_folder: Path, chosen: random.Random) -> Iterator[str]:
    """Commands killed at random moments, looked at and run again; four of each at a time."""
    for kind in cycle(kills.KINDS):
        counts: Counter[str] = Counter()
        kills.trial(4, chosen.randrange(10**9), (kind,), counts)
        yield from [GOOD] * 4


def _worker_kills(_folder: Path, chosen: random.Random) -> Iterator[str]:
    """One process of a batch killed alone, and the batch run again."""
    for victim in cycle(VICTIMS if find_spec("distributed") else VICTIMS[:1]):
        killed_alone(victim, chosen.randrange(10**9))
        yield GOOD


def _of(code: int) -> str:
    return REFUSED if code else GOOD


def _changed(raw: bytes, chosen: random.Random) -> bytes:
    """Some bytes turned, left out or doubled."""
    held = bytearray(raw)
    for _ in range(chosen.randint(1, 6)):
        at = chosen.randrange(len(held))
        held[at : at + chosen.randrange(3)] = bytes(chosen.randrange(256) for _ in range(chosen.randrange(3)))
    return bytes(held)


CLASSES: Mapping[str, Tries] = {
    "recipes by chance": _recipes,
    "values that no shop writes": _values,
    "drawings with bytes changed": _drawings,
    "schedules with bytes changed": _schedules,
    "workbooks damaged below their XML": _workbooks,
    "tampering with a finished folder": _tricks,
    "pipes and links in the place of files": _odd_files,
    "commands killed": _kills,
    "workers of a batch killed alone": _worker_kills,
}
