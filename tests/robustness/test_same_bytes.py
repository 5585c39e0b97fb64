"""The same bytes in every format, across two processes, folders, hash seeds, locales and time zones."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

from tests.robustness.asking import Typed, files_in, flow, put, written
from tests.robustness.recipes_to_try import SHOP, SOUND

ROOT = Path(__file__).parents[2]
SCHEDULE = "opening,span,remarks\nW-1,700,Küche ½″\nW-2,640,\n"

#: Two machines that agree in nothing that must not matter. TZ as POSIX writes it, so that no table of zones is needed.
PLACES = (
    {"PYTHONHASHSEED": "1", "LC_ALL": "C", "LANG": "C", "TZ": "AAA+11:30", "PYTHONUTF8": "0"},
    {"PYTHONHASHSEED": "4294967295", "LC_ALL": "C.UTF-8", "LANG": "tr_TR.UTF-8", "TZ": "BBB-13", "COLUMNS": "40"},
)


def test_the_same_bytes_everywhere(tmp_path: Path, tried: Callable[[str], None]) -> None:
    made, said = [], []
    base = put(put(SOUND, ("part", "depth"), 30), ("form",), {"body": "band", "backing": 130})
    for i, place in enumerate(PLACES):
        folder = tmp_path / ("one" if i == 0 else "another folder, deeper") / "x"
        folder.mkdir(parents=True)
        written(folder, flow(SHOP), "shop.yaml")
        written(folder, flow(put(base, ("part", "legs"), Typed("{right: 80, left: 80}"))), "base.yaml")
        written(folder, SCHEDULE, "openings.csv")
        words = ["batch", "openings.csv", "--base", "base.yaml", "--output", "out", "--workers", "2", "--apart"]
        words += ["--effort", "preview"]
        environment = {**os.environ, "PYTHONPATH": str(ROOT), **place}
        done = subprocess.run(
            [sys.executable, "-m", "formgen", *words],
            cwd=folder,
            env=environment,
            capture_output=True,
            timeout=120,
            check=False,
        )
        assert done.returncode == 0, done.stderr.decode()
        made.append(files_in(folder / "out"))
        said.append(done.stdout)
    assert made[0].keys() == made[1].keys()
    endings = {name.rsplit(".", 1)[-1] for name in made[0]}
    assert {"step", "stl", "dxf", "svg", "json", "csv", "xlsx"} <= endings
    assert [name for name in made[0] if made[0][name] != made[1][name]] == []
    for name in made[0]:
        tried(f"same bytes: {name.rsplit('.', 1)[-1]}")
