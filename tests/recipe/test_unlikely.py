"""Numbers of the wrong unit: every shipped recipe with its units changed is told of; none as it stands is."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from formgen.errors import FormgenError
from formgen.findings import Severity
from formgen.pipeline import run
from formgen.recipe.load import load_recipe
from tests.reports.trials import TRIALS

RECIPES = Path(__file__).parents[2] / "recipes"
SHIPPED = sorted(path for path in RECIPES.rglob("*.yaml") if path.name not in ("shop.yaml", "base.yaml"))
CODE = "recipe.units-unlikely"
SMALL = """\
format: 1
name: box
units: mm
part: {arch: {kind: segmental, span: SPAN, rise: 40}, measured_on: inside, depth: DEPTH}
laminate: {wood: white ash, thickness: THICK, plies: 4}
press: {side: male}
"""

Written = Callable[..., Path]


@pytest.fixture
def written(tmp_path: Path) -> Written:
    def write(text: str, *changes: tuple[str, str]) -> Path:
        for old, new in changes:
            assert old in text
            text = text.replace(old, new)
        (tmp_path / "trial.yaml").write_text(text, encoding="utf-8")
        return tmp_path / "trial.yaml"

    return write


def codes(path: Path) -> list[str]:
    return [finding.code for finding in load_recipe(path, RECIPES / "shop.yaml").findings]


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_no_shipped_recipe_is_warned_about(path: Path) -> None:
    assert CODE not in codes(path)


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_every_shipped_recipe_in_the_other_unit_is_warned_about_or_refused(path: Path, tmp_path: Path) -> None:
    """Only sizes that say no unit can be wrong: recipes whose arch or plies all say theirs are left alone."""
    text = path.read_text(encoding="utf-8")
    says_its_own = "kind: drawing" in text or "1900 mm" in text or "thickness: 5 mm" in text or "3 mm, panel" in text
    other = text.replace("units: in\n", "units: xx\n").replace("units: mm\n", "units: in\n").replace(" xx\n", " mm\n")
    assert other != text
    (tmp_path / path.name).write_text(other, encoding="utf-8")
    for file in RECIPES.glob("*.dxf"):
        (tmp_path / file.name).write_bytes(file.read_bytes())
    try:
        recipe = load_recipe(tmp_path / path.name, RECIPES / "shop.yaml")
        told = CODE in [finding.code for finding in recipe.findings]
        if not told:
            run(recipe)
    except FormgenError as err:
        told = "unit" in str(err)  # a bare fraction in a file of mm is refused where it stands
    assert told or says_its_own


@pytest.mark.parametrize("name", TRIALS)
def test_small_and_large_parts_in_their_own_units_are_left_alone(written: Written, name: str) -> None:
    assert CODE not in codes(written(f"format: 1\nname: {name}\n{TRIALS[name]}"))


@pytest.mark.parametrize(
    ("span", "depth", "thick", "warned"),
    [
        ("36", "5.25", "1", True),
        ("48.5", "4.5625", "1.5", True),
        ("190", "12.5", "3", True),
        ("200", "5.25", "1", False),  # parts down to 200 mm are left alone
        ("100", "13", "2", False),
        ("100", "10", "4", False),
        ("36 mm", "5.25 mm", "1 mm", False),  # said with their unit, they are meant
        ("36", "5.25 mm", "1", False),
    ],
)
def test_all_three_sizes_must_look_wrong(written: Written, span: str, depth: str, thick: str, warned: bool) -> None:  # noqa: FBT001
    path = written(SMALL, ("SPAN", span), ("DEPTH", depth), ("THICK", thick), ("rise: 40", "rise: 9"))
    assert (CODE in codes(path)) is warned


def test_what_the_warning_says(written: Written) -> None:
    path = written(SMALL, ("SPAN", "36"), ("DEPTH", "5.25"), ("THICK", "1"), ("rise: 40", "rise: 9"))
    (finding,) = [f for f in load_recipe(path, RECIPES / "shop.yaml").findings if f.code == CODE]
    assert finding.severity is Severity.WARNING
    assert finding.message == (
        "An arch of 36, a depth of 5.25 and a thickness of 1 in a file of units: mm look like inches. Write units: in, "
        "or the unit beside each number if you mean them."
    )
    path = written(SMALL, ("units: mm", "units: in"), ("SPAN", "900"), ("DEPTH", "95"), ("THICK", "18"))
    (finding,) = [f for f in load_recipe(path, RECIPES / "shop.yaml").findings if f.code == CODE]
    assert finding.message.startswith(
        "An arch of 900, a depth of 95 and a thickness of 18 in a file of units: in look "
    )


@pytest.mark.parametrize(
    ("plies", "line"),
    [
        (
            "thickness: 1, plies: 8",
            'laminate.plies = "8", expected plies of 0.2 mm or more, got 0.125 mm each',
        ),
        (
            "plies: [{count: 3, thickness: 0.125}]",
            'laminate.plies[1].thickness = "0.125", expected a ply of 0.2 mm or more; check units:',
        ),
    ],
)
def test_plies_that_nobody_sells_are_refused(written: Written, plies: str, line: str) -> None:
    path = written(SMALL, ("SPAN", "36"), ("DEPTH", "5"), ("thickness: THICK, plies: 4", plies))
    with pytest.raises(FormgenError, match="expected") as caught:
        load_recipe(path, RECIPES / "shop.yaml")
    assert line in str(caught.value)
