"""Pipes, sockets, devices and links in the place of files that were written: no command waits for them.

`python -m tests.robustness.odd_files` puts each of them in the place of each kind of file and asks each command, and
counts the answers: an exit code with its lines, in time. The tests take one in some.
"""

from __future__ import annotations

import argparse
import os
import shutil
import signal
import socket
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from types import FrameType

from tests.robustness.asking import CODES, Answer, ask, files_in, flow, put, written
from tests.robustness.processes import start
from tests.robustness.recipes_to_try import SHOP, SOUND

#: Nothing is waited for longer (s); the longest of these commands takes a few.
LONGEST_S = 60


def _socket(path: Path) -> None:
    here = os.open(".", os.O_RDONLY)
    os.chdir(path.parent)  # the name of a socket has room for a hundred characters
    try:
        with socket.socket(socket.AF_UNIX) as listening:
            listening.bind(path.name)
    finally:
        os.fchdir(here)
        os.close(here)


def _link_to_pipe(path: Path) -> None:
    elsewhere = path.parents[2] / f"pipe-{path.name}"
    elsewhere.unlink(missing_ok=True)
    os.mkfifo(elsewhere)
    path.symlink_to(elsewhere)


KINDS: Mapping[str, Callable[[Path], None]] = {
    "a pipe": os.mkfifo,
    "a socket": _socket,
    "a link to a device": lambda path: path.symlink_to("/dev/zero"),
    "a link to a pipe": _link_to_pipe,
    "a link to itself": lambda path: path.symlink_to(path.name),
}
#: Files of a form, of the sheets and of a batch.
FORM = ("W0/job.json", "W0/form.step", "W0/layers/layer-01.dxf")
SHEETS = ("sheets/sheet-map.json", "sheets/sheet-01.dxf")
BATCH = ("building.json", "building.csv")


def commands(folder: Path) -> Mapping[str, tuple[list[str | Path], tuple[str, ...]]]:
    """What is typed, on results in `output`, and the files that it looks at."""
    output = folder / "output"
    preview: list[str | Path] = ["--effort", "preview"]
    batch = ["batch", folder / "openings.csv", "--base", folder / "W0.yaml", "--output", output, *preview]
    return {
        "verify": (["verify", output / "W0"], FORM),
        "send": (["send", output, "--to", folder / "router"], (*FORM, *SHEETS)),
        "sheets": (["sheets", output, *preview], (*FORM, *SHEETS)),
        "build": (["build", folder / "W0.yaml", "--output", output], FORM),
        "batch": ([*batch, "--workers", "1", "--apart", "--json"], (*FORM, *SHEETS, *BATCH)),
    }


def results(folder: Path) -> Path:
    """A folder with a recipe, a schedule of one opening, and what a batch of it wrote."""
    small = put(put(SOUND, ("part", "depth"), 30), ("form",), {"body": "band", "backing": 130})
    written(folder, flow(SHOP), "shop.yaml")
    written(folder, flow(put(small, ("name",), "W0")), "W0.yaml")
    written(folder, "opening,span\nW0,700\n", "openings.csv")
    words, _ = commands(folder)["batch"]
    done = ask(*words)
    assert done.code == 0, done.err
    return folder


def cases() -> list[tuple[str, str, str]]:
    """Command, kind and file, all of them."""
    asked = commands(Path())
    return [(command, kind, name) for command in asked for kind in KINDS for name in asked[command][1]]


@contextmanager
def in_time() -> Iterator[None]:
    """What is done inside takes no longer than `LONGEST_S`, else AssertionError; in the main thread alone."""

    def late(_number: int, _frame: FrameType | None) -> None:
        raise AssertionError("it hangs")

    before = signal.signal(signal.SIGALRM, late)
    signal.alarm(LONGEST_S)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)


def answered(whole: Path, folder: Path, command: str, kind: str, name: str) -> Answer:
    """What a command says with that in the place of a file; AssertionError where it hangs or gives it away."""
    shutil.rmtree(folder, ignore_errors=True)
    shutil.copytree(whole, folder)
    words, _ = commands(folder)[command]
    if command == "sheets":
        (folder / "output" / "building.json").unlink()
    path = folder / "output" / name
    path.unlink()
    KINDS[kind](path)
    with in_time():
        answer = _batched(words) if command == "batch" else ask(*words)
    assert len(answer.lines) < 20, answer.err
    assert "None" not in answer.err, answer.err
    if command in ("verify", "send"):
        assert answer.code in (3, 4), (answer.code, answer.err)
        assert not (folder / "router").exists() or not files_in(folder / "router")
    return answer


def _batched(words: list[str | Path]) -> Answer:
    """A batch in a process of its own, as its workers expect; how it ended is one line more than a place has."""
    process = start(*words)
    try:
        out, err = process.communicate()
    finally:
        process.kill()  # where it hangs; its workers end with it
    answer = Answer(code=process.returncode, out=out.decode(), err=err.decode())
    assert answer.code in CODES, answer.err
    assert answer.err.replace("\n", "").isprintable(), answer.err
    assert "Traceback" not in answer.err
    return answer


def main() -> None:
    """The command."""
    argparse.ArgumentParser(prog="python -m tests.robustness.odd_files", description=__doc__).parse_args()
    counts: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "whole").mkdir()
        whole = results(folder / "whole")
        try:
            for command, kind, file in cases():
                answer = answered(whole, folder / "tried", command, kind, file)
                counts[f"{command}: exit {answer.code}"] += 1
        finally:
            for what, count in sorted(counts.items()):
                print(f"{count:6d}  {what}")  # noqa: T201 -- the command's answer


if __name__ == "__main__":
    main()
