"""Licences of all that is shipped or needed, held against what the installed packages say of themselves.

Source: the packages' own metadata, by `importlib.metadata`; names of licences after SPDX.
"""

from __future__ import annotations

import re
import tomllib
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "formgen"
TABLE = tomllib.loads((PACKAGE / "licences.toml").read_text(encoding="utf-8"))

#: What a package says where it is under a licence of that family.
SAID = {
    "Apache-2.0": r"Apache",
    "MIT": r"MIT",
    "MIT-CMU": r"MIT-CMU",
    "BSD-2-Clause": r"BSD",
    "BSD-3-Clause": r"BSD",
    "0BSD": r"0BSD",
    "Zlib": r"Zlib",
    "CC0-1.0": r"CC0",
    "PSF-2.0": r"PSF|Python Software Foundation",
    "LGPL-3.0-or-later": r"LGPLv3\+|\bLGPL\b",
}


def _needed() -> dict[str, str]:
    """Every package that an installed formgen needs, by name, and what it says of its licence."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    waiting = [Requirement(text) for text in project["dependencies"]]
    found: dict[str, str] = {}
    while waiting:
        requirement = waiting.pop()
        name = canonicalize_name(requirement.name)
        if name in found or (requirement.marker and not requirement.marker.evaluate({"extra": ""})):
            continue
        package = distribution(name)
        said = [value for key, value in package.metadata.items() if key in ("License", "License-Expression")]
        said += [value for key, value in package.metadata.items() if value.startswith("License ::")]
        found[name] = "\n".join(said)
        waiting += [Requirement(text) for text in package.requires or ()]
    return found


NEEDED = _needed()


def test_every_package_needed_is_listed() -> None:
    assert sorted(NEEDED.keys() - TABLE["needed"].keys()) == []


def test_nothing_is_listed_that_is_not_needed() -> None:
    elsewhere = {"packingsolver"}  # needed on newer Pythons only
    assert sorted(TABLE["needed"].keys() - NEEDED.keys() - elsewhere) == []


@pytest.mark.parametrize("name", sorted(NEEDED))
def test_the_licence_is_what_the_package_says(name: str) -> None:
    for licence in re.split(r" (?:AND|OR) ", TABLE["needed"][name].split(" WITH ")[0]):
        assert re.search(SAID[licence], NEEDED[name]), f"{name}: {licence}, but it says {NEEDED[name]!r}"


def test_no_package_is_under_a_licence_that_binds_those_who_use_it() -> None:
    for name, licence in TABLE["needed"].items():
        assert not re.search(r"(?<![L])GPL|AGPL|SSPL", licence), name


def test_files_of_others_are_listed_with_their_licence_texts() -> None:
    listed = {name for entry in TABLE["shipped"] for name in entry["files"]}
    foreign = {
        path.relative_to(PACKAGE).as_posix() for kind in ("ttf", "woff", "jhf") for path in PACKAGE.rglob(f"*.{kind}")
    }
    assert foreign <= listed
    for entry in TABLE["shipped"]:
        assert (PACKAGE / entry["text"]).stat().st_size > 500, entry["what"]
        assert all((PACKAGE / name).is_file() for name in entry["files"])


def test_every_package_has_bounds() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    for text in project["dependencies"]:
        requirement = Requirement(text)
        kinds = {each.operator for each in requirement.specifier}
        assert kinds == {"=="} or {">=", "<"} <= kinds, text
        try:
            assert requirement.specifier.contains(distribution(requirement.name).version), text
        except PackageNotFoundError:
            assert requirement.marker is not None, text


def test_the_lock_has_a_hash_for_every_package_and_no_address() -> None:
    lock = (ROOT / ".ci/requirements.txt").read_text(encoding="utf-8")
    hashes = r" \\\n(?:    --hash=sha256:[0-9a-f]{64}(?: \\)?\n)+"
    packages = re.findall(r"^([a-z0-9][a-z0-9._-]*)==\S+" + hashes, lock, re.MULTILINE)
    pinned = re.findall(r"^[a-z0-9][a-z0-9._-]*==", lock, re.MULTILINE)
    assert len(packages) == len(pinned) > 60
    assert not re.search(r"https?://|--(extra-)?index-url|--find-links", lock)
    assert NEEDED.keys() <= {canonicalize_name(name) for name in packages}
