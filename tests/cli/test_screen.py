"""The one screen of `check`: 80 by 24 whatever there is to mend, the gravest first, each with what to do."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from formgen.cli.screen import HIGH, MENDS, WIDE, answer_lines, to_mend
from formgen.findings import Finding, Severity
from formgen.holding.model import Holding


def said(form: Any, file: str = "porch.yaml") -> list[str]:
    return [line for line, _ in answer_lines(form, f"formgen check {file}")]


def fits(lines: list[str]) -> bool:
    return len(lines) <= HIGH < 24 and max(map(len, lines)) <= WIDE == 80


def grave(severity: Severity, number: int, **kind: Any) -> Finding:
    """A finding with much to say."""
    title = f"Trouble number {number}"
    do = f"Do this and that about number {number}, " + "and then do some more of it, " * 4 + "until it holds."
    return Finding(code="x.y", severity=severity, message=f"{title}. {do}", title=title, do=do, **kind)


def test_it_fits_for_every_shipped_recipe(shipped: Holding) -> None:
    lines = said(shipped, f"recipes/{shipped.recipe.name}.yaml")
    assert fits(lines), "\n".join(lines)
    assert lines[0] == shipped.recipe.name
    mends = to_mend(shipped.all_findings)
    assert [f.title for f in mends] == [
        f.title for f in mends if any(line.startswith(f"  {f.severity}: {f.title}") for line in lines)
    ]


@pytest.mark.parametrize("count", [1, 2, 7, 8, 9, 30])
def test_it_fits_with_many_problems(made: Callable[[str], Any], count: int) -> None:
    problems = tuple(grave(Severity.PROBLEM, i, value=2.0, limit=1.0, unit="mm") for i in range(count))
    form = replace(made("porch-door-jamb"), holding_findings=problems)
    lines = said(form)
    assert fits(lines), "\n".join(lines)
    told = [line for line in lines if line.startswith("  problem: ")]
    assert told == [f"  problem: Trouble number {i}: 0.079 in, limit 0.039 in" for i in range(min(count, MENDS))]
    others = len(to_mend(form.all_findings)) - len([line for line in lines if line.startswith(("  problem", "  warn"))])
    assert (f"{others} more to mend and " in lines[-1]) == (others > 0)
    assert lines[-1].endswith(": formgen check porch.yaml --all")


def test_the_gravest_come_first_and_carrying_last(made: Callable[[str], Any]) -> None:
    found = (
        grave(Severity.WARNING, 1, handling=True),
        grave(Severity.WARNING, 2),
        grave(Severity.NOTE, 3),
        grave(Severity.PROBLEM, 4),
    )
    assert [f.title[-1] for f in to_mend(found)] == ["4", "2", "1"]
    heavy = made("porch-door-jamb")
    assert [f.code for f in to_mend(heavy.all_findings)][-1] == "form.heavy"


def test_a_value_that_cures_is_ready_to_paste(made: Callable[[str], Any]) -> None:
    clean = made("newspaper-stall")
    cured = grave(Severity.WARNING, 1, setting="'part.depth=4 9/16'")
    lines = said(replace(clean, holding_findings=(cured,)), "'my recipes/stall.yaml'")
    assert "      formgen check 'my recipes/stall.yaml' --set 'part.depth=4 9/16'" in lines
    crowd = tuple(replace(cured, title=f"Trouble {i}") for i in range(7))
    assert fits(said(replace(clean, holding_findings=crowd)))


def test_a_long_command_is_left_out_rather_than_broken(made: Callable[[str], Any]) -> None:
    file = f"{'a-long-folder/' * 5}porch.yaml"
    cured = grave(Severity.WARNING, 1, setting="form.backing=150")
    lines = said(replace(made("newspaper-stall"), holding_findings=(cured,)), file)
    assert fits(lines)
    assert "      --set form.backing=150" in lines
    assert lines[-1].endswith(": --all")


def test_a_ratio_is_told_as_a_share_of_its_limit(made: Callable[[str], Any]) -> None:
    lines = said(made("gallery-casing"))
    assert "  warning: Ply near or past breaking: 81 % of the limit" in lines
