"""A home that is a plain file, closed, read-only, nowhere or full of somebody's settings: the same files, no noise."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.robustness.asking import files_in, flow, put, written
from tests.robustness.processes import ROOT
from tests.robustness.recipes_to_try import SHOP, SOUND

pytestmark = pytest.mark.skipif(os.name == "nt", reason="a home as Unix has it")

#: The program where nobody has a home: neither the environment nor the list of users says one.
_NOBODY = """
import os, pwd
def unknown(number):
    raise KeyError(number)
os.environ.pop("HOME", None)
pwd.getpwuid = unknown
from formgen.cli import program
program()
"""
#: What reportlab runs and reads at home, and what ezdxf reads there: each would change files.
_SETTINGS = {
    ".reportlab_mods": "import reportlab; reportlab.Version = 'of my own'",
    ".reportlab_settings": "useA85 = 1\ninvariant = 0\nshapeChecking = 0\nlistWrapOnFakeWidth = 0",
}


def _plain_file(home: Path) -> None:
    home.touch()


def _closed(home: Path) -> None:
    home.mkdir(mode=0)


def _read_only(home: Path) -> None:
    home.mkdir(mode=0o555)


def _settings(home: Path) -> None:
    home.mkdir()
    for name, text in _SETTINGS.items():
        (home / name).write_text(text, encoding="utf-8")


def _caches_are_files(home: Path) -> None:
    home.mkdir()
    for name in (".cache", ".config"):
        (home / name).touch()


HOMES: dict[str, Callable[[Path], None]] = {
    "a plain file": _plain_file,
    "closed": _closed,
    "read-only": _read_only,
    "not there": lambda _: None,
    "with settings": _settings,
    "caches are files": _caches_are_files,
}


#: What ezdxf would read in the working folder: another face for sizes; and a file that its reader breaks off at.
_HERE = ("[core]\nDEFAULT_DIMENSION_TEXT_STYLE = OpenSans\nSUPPORT_DIRS = /nowhere\n", "[core\nno end")


def _built(folder: Path, home: Path | None, name: str) -> tuple[int, str, dict[str, bytes]]:
    """What a build in its own folder said, and its files; as a user who may not look into what is closed."""
    recipe = put(put(SOUND, ("part", "depth"), 30), ("form",), {"body": "band", "backing": 130})
    written(folder, flow(SHOP), "shop.yaml")
    command: list[str | Path] = [sys.executable, *(["-c", _NOBODY] if home is None else ["-m", "formgen"])]
    command += ["build", written(folder, flow(recipe)), "--output", folder / name]
    environment = {k: v for k, v in os.environ.items() if not k.startswith("XDG_")} | {"PYTHONPATH": str(ROOT)}
    if home is not None:
        environment["HOME"] = str(home)
    if os.geteuid() == 0 and (powerless := shutil.which("setpriv")):
        command = [powerless, "--bounding-set=-all", "--inh-caps=-all", *command]
    words = list(map(str, command))
    done = subprocess.run(words, cwd=folder, env=environment, capture_output=True, check=False, timeout=120)
    said = done.stderr.decode().replace(str(folder / name), "OUT")
    return done.returncode, said, files_in(folder / name)


@pytest.fixture(scope="module")
def usual(tmp_path_factory: pytest.TempPathFactory) -> tuple[int, str, dict[str, bytes]]:
    """The build with a home of one's own."""
    folder = tmp_path_factory.mktemp("usual")
    (folder / "home").mkdir()
    return _built(folder, folder / "home", "output")


@pytest.mark.parametrize("kind", [*HOMES, "nobody's"])
def test_a_home_changes_nothing(
    tmp_path: Path, usual: tuple[int, str, dict[str, bytes]], tried: Callable[[str], None], kind: str
) -> None:
    assert usual[0] == 0
    home = tmp_path / "home"
    if kind in HOMES:
        HOMES[kind](home)
        if kind == "closed" and os.geteuid() == 0:
            os.chown(home, 65534, 65534)
    assert _built(tmp_path, None if kind == "nobody's" else home, "output") == usual
    tried("homes")


@pytest.mark.parametrize("text", _HERE)
def test_settings_that_lie_in_the_working_folder_change_nothing(
    tmp_path: Path, usual: tuple[int, str, dict[str, bytes]], tried: Callable[[str], None], text: str
) -> None:
    (tmp_path / "home").mkdir()
    (tmp_path / "ezdxf.ini").write_text(text, encoding="utf-8")
    assert _built(tmp_path, tmp_path / "home", "output") == usual
    tried("homes")


@pytest.mark.parametrize("text", _HERE)
def test_a_drawing_is_read_whatever_settings_lie_in_the_working_folder(tmp_path: Path, text: str) -> None:
    (tmp_path / "ezdxf.ini").write_text(text, encoding="utf-8")
    command = [sys.executable, "-m", "formgen", "check", str(ROOT / "recipes" / "reference-alcove.yaml")]
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    done = subprocess.run(command, cwd=tmp_path, env=environment, capture_output=True, check=False)
    assert done.returncode == 0, done.stderr.decode()
