"""The verdict: one problem forbids the press; and every shipped recipe may be pressed."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from formgen.errors import VerdictError
from formgen.findings import Finding, Severity, registry
from formgen.form.model import Form
from formgen.form.stage import make_form
from formgen.holding.do_not_press import mark_lines, refusal
from formgen.holding.model import Holding
from formgen.pipeline import refuse_problems, run
from formgen.recipe.load import load_recipe
from formgen.verdict import MARK, Verdict, judge


def finding(code: str, severity: Severity) -> Finding:
    return Finding(
        code=code, severity=severity, message=f"{code} is wrong: mend it.", value=25.4, limit=12.7, unit="mm"
    )


NOTE, WARNING = finding("a", Severity.NOTE), finding("b", Severity.WARNING)
FIRST, SECOND = finding("c", Severity.PROBLEM), finding("d", Severity.PROBLEM)


def test_one_problem_is_enough_and_warnings_are_not() -> None:
    assert judge(()) == judge((NOTE, WARNING)) == Verdict(may=True, why=())
    assert judge((NOTE, FIRST, WARNING, SECOND, FIRST)) == Verdict(may=False, why=("c", "d"))
    assert Verdict(may=False, why=("c", "d")).text == f"{MARK}: c, d"


def test_the_refusal_is_one_line_with_value_limit_and_the_way_out() -> None:
    assert refusal((WARNING, FIRST, SECOND), "in") == (
        "c is wrong: mend it (1 in, limit 1/2 in); also d; --anyway builds it, marked DO NOT PRESS"
    )
    assert "also" not in refusal((FIRST,), "mm")


def test_every_shipped_recipe_may_be_pressed(shipped: Form) -> None:
    assert isinstance(shipped, Holding)
    assert shipped.verdict == Verdict(may=True)
    refuse_problems(shipped)
    assert mark_lines(shipped) == ()


def test_a_problem_is_refused_with_its_place(tmp_path: Path) -> None:
    (tmp_path / "niche.yaml").write_text(
        "format: 1\nname: niche\nunits: mm\n"
        "part: {arch: {kind: semicircle, span: 900}, measured_on: inside, depth: 60}\n"
        "laminate: {wood: white oak, thickness: 44, plies: 2}\npress: {side: male}\n",
        encoding="utf-8",
    )
    with pytest.raises(VerdictError, match=r"^niche.yaml.*: Ply 1 .* breaking strain"):
        refuse_problems(run(load_recipe(tmp_path / "niche.yaml")))


@pytest.mark.parametrize("name", ["porch-door-jamb", "newel-handrail", "bench-back-rail", "clock-surround"])
def test_wherever_a_label_fits_the_mark_does(
    changed: Callable[..., Form], made: Callable[[str], Form], name: str
) -> None:
    """Every piece carries it, is cut as it was, and said nothing of the kind before."""
    form = made(name)
    marked = make_form(form.pressing, do_not_press=True)
    for (_, piece), (_, plain) in zip(marked.pieces, form.pieces, strict=True):
        assert piece.cut == plain.cut
        assert [label.text for label in piece.labels if MARK in label.text]
        assert not [label.text for label in plain.labels if MARK in label.text]


@pytest.mark.parametrize(("backing", "pieces", "letters"), [(45, 1, 16), (55, 3, 10), (70, 1, 24), (70, 1, 28)])
@pytest.mark.parametrize("labels", ["short", "long"])
def test_the_mark_fits_where_the_label_barely_does(
    tmp_path: Path, backing: int, pieces: int, letters: int, labels: str
) -> None:
    """Letters a step larger find no room at all on these bands: they shrink, lines are joined, or the radius goes."""
    (tmp_path / "band.yaml").write_text(
        "format: 1\nname: reading-room-band\nunits: mm\n"
        "part: {arch: {kind: semicircle, span: 500}, measured_on: inside, depth: 30}\n"
        "laminate: {wood: white ash, thickness: 12, plies: 6}\npress: {side: male}\n"
        f"form: {{body: band, backing: {backing}, least_pieces: {pieces}, clamp_reliefs: false}}\n",
        encoding="utf-8",
    )
    (tmp_path / "shop.yaml").write_text(
        f"format: 1\nname: own\nunits: mm\nrouter: {{label_height: {letters}, labels: {labels}}}\n", encoding="utf-8"
    )
    form = run(load_recipe(tmp_path / "band.yaml"))
    for _, piece in make_form(form.pressing, do_not_press=True).pieces:
        (mark,) = [label for label in piece.labels if MARK in label.text]
        texts = " ".join(label.text for label in piece.labels)
        assert ("LAYER 0" if labels == "long" else "↑ L0") in texts
        assert "THIS SIDE UP" in texts
        assert mark.strokes
        for stroke in mark.strokes:
            assert all(piece.outline.contains(point) for point in stroke)


def test_the_developers_page_lists_every_problem() -> None:
    """Codes that the registry calls a problem stand in the table; those in the table exist. A building has no press."""
    root = Path(__file__).parents[1]
    listed = (root / "DEVELOPERS.md").read_text(encoding="utf-8").split("## What forbids the press")[1]
    rows = [line.split("|")[1] for line in listed.split("\n## ")[0].splitlines() if line.startswith("| `")]
    codes = {code for row in rows for code in re.findall(r"`([\w.-]+)`", row)}
    found = {code for code, _, said in registry.rows() if said.severity is Severity.PROBLEM}
    assert {code for code in found if not code.startswith("building.")} == codes
