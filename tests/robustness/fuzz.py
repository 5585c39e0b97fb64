"""A coverage-guided fuzzer on what reads files: `python -m tests.robustness.fuzz --seconds 120`.

It needs `atheris` (`pip install '.[fuzz]'`). Each reader gets its share of the time in a process of its own; anything
that a reader raises beside the program's own refusals ends it with the input that did it.
"""

from __future__ import annotations

import argparse
import re
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

from tests.robustness.drawings import GOOD
from tests.robustness.recipes_to_try import SCHEDULE, SHOP, SOUND

READERS = ("recipe", "shop", "schedule", "drawing", "length")


def reader(name: str, folder: Path) -> Callable[[bytes], object]:
    """What reads bytes as that kind of file."""
    from formgen.building.schedule.file import read_csv
    from formgen.curve.drawn.path import read_drawing
    from formgen.lengths import read_length
    from formgen.recipe.arch_kinds import Drawing
    from formgen.recipe.load import load_recipe, load_shop

    def recipe(raw: bytes) -> object:
        (folder / "r.yaml").write_bytes(raw)
        return load_recipe(folder / "r.yaml")

    def shop(raw: bytes) -> object:
        (folder / "s.yaml").write_bytes(raw)
        return load_shop(folder / "s.yaml")

    def drawing(raw: bytes) -> object:
        (folder / "d.dxf").write_bytes(raw)
        return read_drawing(Drawing(kind="drawing", file="d.dxf"), folder, "mm")

    readers: dict[str, Callable[[bytes], object]] = {
        "recipe": recipe,
        "shop": shop,
        "schedule": lambda raw: read_csv("o.csv", raw),
        "drawing": drawing,
        "length": lambda raw: read_length(raw.decode("utf-8", "replace"), "in"),
    }
    return readers[name]


def _fuzz(name: str, seconds: int) -> None:
    """In a process of its own: never comes back, since the fuzzer ends the process."""
    import atheris

    from formgen.errors import FormgenError
    from tests.robustness.asking import flow

    folder = Path(tempfile.mkdtemp())
    corpus = folder / "corpus"
    corpus.mkdir()
    seeds = {"recipe": flow(SOUND), "shop": flow(SHOP), "schedule": SCHEDULE, "drawing": GOOD, "length": "5' 11-1/2\""}
    (corpus / "seed").write_text(seeds[name], encoding="utf-8")
    with atheris.instrument_imports(include=["formgen"]):
        read = reader(name, folder)

    def one(raw: bytes) -> None:
        try:
            read(raw)
        except FormgenError as err:
            if not all(line.isprintable() for line in str(err).split("\n")):
                raise AssertionError(str(err)) from err

    limits = [f"-max_total_time={seconds}", "-max_len=4096", "-timeout=20", f"-artifact_prefix={folder}/"]
    atheris.Setup([sys.argv[0], *limits, str(corpus)], one)
    atheris.Fuzz()


def main() -> None:
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m tests.robustness.fuzz", description=__doc__)
    parser.add_argument("--seconds", type=int, default=120)
    parser.add_argument("--reader", choices=READERS)
    asked = parser.parse_args()
    if asked.reader:
        _fuzz(asked.reader, asked.seconds)
        return
    failed = 0
    for name in READERS:
        share = max(1, asked.seconds // len(READERS))
        words = [sys.executable, "-m", "tests.robustness.fuzz", "--reader", name, "--seconds", str(share)]
        done = subprocess.run(words, capture_output=True, text=True, check=False)
        runs = re.findall(r"Done (\d+) runs", done.stderr) or re.findall(r"^#(\d+)", done.stderr, re.MULTILINE)
        failed += done.returncode != 0
        print(f"{runs[-1] if runs else '0':>8}  {name}: {'no fault' if done.returncode == 0 else 'FAULT'}")  # noqa: T201 -- the command's answer
        if done.returncode:
            print(done.stderr[-3000:])  # noqa: T201 -- the command's answer
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
