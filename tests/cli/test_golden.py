"""What `formgen check` prints for every shipped recipe, its screen and its tables, as text read when it changes.

Golden files show what a change does to the answers; they prove nothing by themselves (tests/validation does that).
`pytest --renew tests/cli/test_golden.py` writes them again: read the difference before committing it.
"""

from __future__ import annotations

import difflib
from pathlib import Path

import pytest
from click.testing import CliRunner

from formgen.cli import main

ROOT = Path(__file__).parents[2]
GOLDEN = ROOT / "tests" / "golden"
NAMES = sorted(path.stem for path in (ROOT / "recipes").glob("*.yaml") if path.stem != "shop")


#: Where what is printed stands, and the options with which it is.
KINDS = {"check": [], "tables": ["--all"]}


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", NAMES)
def test_check_prints_what_it_printed(
    name: str, kind: str, pytestconfig: pytest.Config, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(ROOT / "recipes")
    done = CliRunner().invoke(main, ["check", f"{name}.yaml", *KINDS[kind]])
    assert done.exit_code == 0
    printed = "\n".join(line.rstrip() for line in done.stdout.splitlines()) + "\n"
    path = GOLDEN / f"{kind}-{name}.txt"
    if pytestconfig.getoption("renew"):
        path.write_text(printed, encoding="utf-8", newline="\n")
    held = path.read_text(encoding="utf-8")
    difference = difflib.unified_diff(held.splitlines(), printed.splitlines(), "golden", "now", lineterm="")
    assert printed == held, "\n".join(difference)


def test_no_golden_is_left_over() -> None:
    for kind in KINDS:
        assert sorted(path.name for path in GOLDEN.glob(f"{kind}-*")) == [f"{kind}-{name}.txt" for name in NAMES]
