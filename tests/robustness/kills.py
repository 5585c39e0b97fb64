"""Commands killed at random moments: afterwards each thing stands whole, old or new, and the next run is a good one.

`python -m tests.robustness.kills --times 300` kills `build`, `batch`, `sheets` and `send` in turn, half of them while
something is half written, and then workers of a batch alone, its own and those of a Dask cluster; it prints how many
kills came when and what stood after each. `--only workers` kills workers alone.
`python -m tests.robustness.kills --openings 1000` kills a batch in the middle and runs it again.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import random
import shutil
import signal
import subprocess
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from tests.robustness.asking import ask, files_in, flow, put, written
from tests.robustness.faults import state
from tests.robustness.processes import comes_true, parts, start, stop
from tests.robustness.recipes_to_try import SHOP, SOUND

KINDS = ("build", "batch", "sheets", "send")
SIGNALS = (signal.SIGKILL, signal.SIGKILL, signal.SIGTERM, signal.SIGHUP, signal.SIGINT)


def recipes(folder: Path) -> tuple[Path, Path]:
    """Two recipes of one name, whose files differ."""
    written(folder, flow(SHOP), "shop.yaml")
    small = put(put(SOUND, ("part", "depth"), 30), ("form",), {"body": "band", "backing": 130})
    one, other = (written(folder, flow(put(small, ("part", "tolerance"), t)), f"{t}.yaml") for t in (0.8, 0.9))
    return one, other


def begun(recipe: Path, output: Path) -> subprocess.Popen[bytes]:
    """`formgen build`, begun in a session of its own."""
    return start("build", recipe, "--output", output)


def schedule(folder: Path, count: int) -> Path:
    """A schedule of half-round openings, each of a span of its own."""
    rows = "".join(f"W{i},{700 + 0.3 * i:.1f}\n" for i in range(count))
    return written(folder, f"opening,span\n{rows}", "openings.csv")


@dataclass(kw_only=True)
class Command:
    """A command with two results that take turns: what is typed for each, and the folder that it writes in."""

    words: tuple[list[str | Path], list[str | Path]]
    output: Path
    before: Callable[[int], None] = lambda _turn: None
    whole: list[dict[str, bytes]] = field(default_factory=list)
    takes_s: float = 0.0

    def learn(self) -> None:
        """Run both to their ends: what stands then, and how long one takes as a process of its own."""
        self.before(0)
        done = ask(*self.words[0])
        assert done.code == 0, done.err
        self.whole.append(state(self.output))
        self.before(1)
        begin = time.perf_counter()
        with start(*self.words[1]) as process:
            _, err = process.communicate(timeout=600)
        assert process.returncode == 0, err.decode()
        self.takes_s = time.perf_counter() - begin
        self.whole.append(state(self.output))


def commands(folder: Path, kinds: tuple[str, ...]) -> dict[str, Command]:
    """The four, each in a folder of its own; `sheets` and `send` on a form that is built first where they are asked."""
    one, other = recipes(folder)
    openings = schedule(folder, 2)
    laid, ready, to = folder / "laid", folder / "ready", folder / "router"
    if {"sheets", "send"} & {*kinds}:
        assert ask("build", one, "--output", laid).code == 0
        shutil.copytree(laid, ready)
        assert ask("sheets", ready, "--effort", "preview").code == 0

    def emptied(turn: int) -> None:
        if turn == 0:
            shutil.rmtree(to, ignore_errors=True)

    def batch(base: Path) -> list[str | Path]:
        words: list[str | Path] = ["batch", openings, "--base", base, "--output", folder / "batch", "--apart"]
        return [*words, "--workers", "2", "--effort", "preview", "--anyway"]

    build: list[list[str | Path]] = [["build", recipe, "--output", folder / "build"] for recipe in (one, other)]
    lay: list[list[str | Path]] = [["sheets", laid, "--effort", effort] for effort in ("preview", "normal")]
    send: list[str | Path] = ["send", ready, "--to", to]
    return {
        "build": Command(words=(build[0], build[1]), output=folder / "build"),
        "batch": Command(words=(batch(one), batch(other)), output=folder / "batch"),
        "sheets": Command(words=(lay[0], lay[1]), output=laid),
        "send": Command(words=(send, send), output=to, before=emptied),
    }


def units(files: dict[str, bytes]) -> dict[str, dict[str, bytes]]:
    """Files by what stands or falls together: a folder at the top, or a file there."""
    found: dict[str, dict[str, bytes]] = {}
    for name, content in files.items():
        found.setdefault(name.split("/")[0], {})[name] = content
    return found


def trial(times: int, seed: int, kinds: tuple[str, ...], counts: Counter[str]) -> None:
    """Kill commands one after another in the same folders and count; AssertionError where anything is not whole."""
    chosen = random.Random(seed)  # noqa: S311 -- a moment, not a secret
    with tempfile.TemporaryDirectory() as name:
        all_of_them = commands(Path(name), kinds)
        for kind in kinds:
            all_of_them[kind].learn()
        for i in range(times):
            kind = kinds[i % len(kinds)]
            said = _killed_once(all_of_them[kind], i // len(kinds) % 2, chosen)
            counts[f"{kind}: {said}"] += 1
            if kind != "send" and i % 24 < len(kinds):
                folders = [path for path in all_of_them[kind].output.iterdir() if (path / "job.json").exists()]
                assert all(ask("verify", path).code == 0 for path in folders)
                counts[f"{kind}: verified"] += 1


def _killed_once(command: Command, turn: int, chosen: random.Random) -> str:
    """One kill, the look at all that stands, and the good next run; what was seen."""
    command.before(turn)
    before = units(state(command.output))
    number, everybody, aimed = chosen.choice(SIGNALS), chosen.random() < 0.7, chosen.random() < 0.5
    process = start(*command.words[turn])
    if aimed:
        comes_true(lambda: bool(parts(command.output)) or process.poll() is not None)
        time.sleep(chosen.uniform(0.0, 0.2 * command.takes_s) if chosen.random() < 0.5 else 0.0)
    else:
        time.sleep(chosen.uniform(0.0, 1.2 * command.takes_s))
    ended = process.poll() is not None
    err = stop(process, number, everybody=everybody)
    assert b"Traceback" not in err, err.decode()
    told = f"{signal.Signals(number).name} {'to all' if everybody else 'alone'}: exit {process.returncode}"
    assert process.returncode in (0, 130, -signal.SIGKILL, -number), f"{told}, {parts(command.output)}, {err.decode()}"
    left = parts(command.output)
    assert not left or number == signal.SIGKILL, f"{signal.Signals(number).name} left {left}"
    new = units(command.whole[turn])
    after = units(state(command.output))
    for unit, files in after.items():
        assert files in (before.get(unit), new.get(unit)), f"{unit} is neither the old one nor the new one"
    gone = set(before) - set(after) - {path.name[1:-4] for path in command.output.glob(".*.old")}
    assert not gone, f"lost: {gone}"
    for path in left:
        if path.is_file():
            os.utime(path, (0, 0))  # as an hour later
    again = ask(*command.words[turn])
    assert again.code == 0, again.err
    assert files_in(command.output) == command.whole[turn], "not the result of a run without a kill"
    how = "ended before its kill" if ended else f"{signal.Signals(number).name} {'to all' if everybody else 'alone'}"
    stood = "all new" if after == new else "all old" if after == before else "some new"
    return f"{how}{', something half written' if left else ''}: {stood}"


def resumed(count: int) -> Counter[str]:
    """A batch of many openings killed in the middle, and run again; what stood then is not built twice."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        base, _ = recipes(folder)
        output = folder / "output"
        words = ["batch", schedule(folder, count), "--base", base, "--output", output]
        words += ["--no-sheets", "--anyway", "--json"]
        process = start(*words)
        assert process.stdout is not None
        forms = 0
        for line in process.stdout:
            event = json.loads(line)
            forms = event.get("of", forms) if event["event"] == "planned" else forms
            if event["event"] == "built" and 2 * event["done"] >= forms:
                break
        os.killpg(process.pid, signal.SIGKILL)
        process.communicate()
        stood = [path for path in output.iterdir() if not path.name.startswith(".")]
        for path in stood:
            files = json.loads((path / "job.json").read_text(encoding="utf-8"))["files"]
            for held, made in files.items():
                assert hashlib.sha256((path / held).read_bytes()).hexdigest() == made["sha256"], f"{path.name}/{held}"
        again = ask(*words)
        assert again.code == 0, again.err
        last = json.loads(again.out.splitlines()[-1])
        assert last["stood"] >= len(stood)
        assert last["stood"] + len(last["built"]) == forms
        assert not parts(output)
        return Counter(
            {"openings": count, "forms": forms, "whole after the kill": len(stood), "built then": len(last["built"])}
        )


def workers_killed(times: int, seed: int, counts: Counter[str]) -> None:
    """Kill one process of a batch alone, or what a Dask cluster has of them, and count."""
    from importlib.util import find_spec

    from tests.robustness.worker_kills import VICTIMS, killed_alone

    victims = VICTIMS if find_spec("distributed") else VICTIMS[:1]  # Dask is an extra
    for i in range(times):
        victim = victims[i % len(victims)]
        counts[f"{victim} of a batch: {killed_alone(victim, seed + i)}"] += 1


def main() -> None:
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m tests.robustness.kills", description=__doc__)
    parser.add_argument("--times", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", choices=(*KINDS, "workers"))
    parser.add_argument("--openings", type=int, help="kill a batch of so many instead")
    asked = parser.parse_args()
    counts: Counter[str] = Counter()
    try:
        if asked.openings:
            counts = resumed(asked.openings)
        elif asked.only != "workers":
            trial(asked.times, asked.seed, (asked.only,) if asked.only else KINDS, counts)
        if not asked.openings and asked.only in (None, "workers"):
            workers_killed(asked.times if asked.only else asked.times // 10, asked.seed, counts)
    finally:  # also where it is interrupted
        for what, count in sorted(counts.items()):
            print(f"{count:6d}  {what}")  # noqa: T201 -- the command's answer


if __name__ == "__main__":
    main()
