"""Wheel and source archive: built, installed elsewhere, and run from another folder.

Source: the wheel format (PEP 427) by the standard library's zipfile; installed by pip.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
#: What the installed command does; where the package was found goes to stderr.
_RUN = "import formgen, sys; print(formgen.__file__, file=sys.stderr); from formgen.cli import program; program()"


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the wheel and the source archive, made from a copy of the tracked files."""
    source = tmp_path_factory.mktemp("source")
    for name in ("formgen", "recipes", "tests", "README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml"):
        held = ROOT / name
        if held.is_dir():
            shutil.copytree(held, source / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(held, source / name)
    target = tmp_path_factory.mktemp("dist")
    command = [sys.executable, "-m", "hatchling", "build", "-d", str(target)]
    subprocess.run(command, cwd=source, check=True, capture_output=True)
    return target


@pytest.fixture(scope="module")
def installed(built: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that holds nothing but the installed wheel."""
    target = tmp_path_factory.mktemp("installed")
    (wheel,) = built.glob("*.whl")
    command = [sys.executable, "-m", "pip", "install", "--quiet", "--no-deps", "--no-index", "--target", str(target)]
    subprocess.run([*command, str(wheel)], check=True, capture_output=True)
    return target


def _formgen(installed: Path, folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    env = {**os.environ, "PYTHONPATH": str(installed), "PYTHONSAFEPATH": "1"}
    command = [sys.executable, "-c", _RUN, *words]
    return subprocess.run(command, check=False, cwd=folder, env=env, capture_output=True, text=True)


def test_the_wheel_holds_every_file_of_the_package(built: Path) -> None:
    (wheel,) = built.glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        held = {name for name in archive.namelist() if name.startswith("formgen/")}
        assert any(name.endswith("licenses/LICENSE") for name in archive.namelist())
    there = {p.relative_to(ROOT).as_posix() for p in (ROOT / "formgen").rglob("*") if p.is_file()}
    assert held == {name for name in there if "__pycache__" not in name}


def test_the_source_archive_holds_recipes_and_tests(built: Path) -> None:
    (archive,) = built.glob("*.tar.gz")
    with tarfile.open(archive) as held:
        names = {name.split("/", 1)[1] for name in held.getnames()}
    assert {"pyproject.toml", "README.md", "LICENSE", "recipes/shop.yaml", "tests/test_shape.py"} <= names


def test_an_installed_wheel_builds_from_another_folder(installed: Path, tmp_path: Path) -> None:
    recipe = tmp_path / "porch-door-jamb.yaml"
    shutil.copy(ROOT / "recipes/porch-door-jamb.yaml", recipe)
    shutil.copy(ROOT / "recipes/shop.yaml", tmp_path)
    where = _formgen(installed, tmp_path, "--version")
    assert where.returncode == 0, where.stderr
    assert Path(where.stderr.strip()).is_relative_to(installed)
    made = _formgen(installed, tmp_path, "build", recipe.name, "--output", "made", "--json")
    assert made.returncode == 0, made.stderr
    assert json.loads(made.stdout)["name"] == "porch-door-jamb"
    checked = _formgen(installed, tmp_path, "verify", "made/porch-door-jamb")
    assert checked.returncode == 0, checked.stderr
