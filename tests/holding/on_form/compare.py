"""Lifts of every shipped recipe that is pressed outside the bag, program beside independent model.

`python -m tests.holding.on_form.compare` prints the table; tests hold a part of it.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

from formgen.holding.model import Holding
from formgen.holding.on_form.layout import Layout
from formgen.holding.on_form.model import Lift, OnForm
from formgen.pipeline import run
from formgen.recipe.figures import figure
from formgen.recipe.load import load_recipe
from tests.holding.on_form.loose_plies import Case, solve

RECIPES = Path(__file__).parents[3] / "recipes"


def independent(form: Holding, on_form: OnForm, clamps_mm: Sequence[float], friction: float) -> float:
    """Greatest lift of the finished part by the independent model, mm."""
    pressing = form.pressing
    laminate = pressing.laminate
    before, after = laminate.arch.waste_mm
    sign = 1.0 if pressing.side == "male" else -1.0
    curve = laminate.pressed.extended(before, after)
    plies = [(p.modulus_mpa, p.thickness_mm) for p in laminate.plies]
    recipe = laminate.recipe
    depth = recipe.part.depth_mm
    found = solve(
        Case(
            pieces=[(length, sign * k) for length, k in curve.pieces],
            plies=plies if pressing.side == "male" else plies[::-1],
            clamps=[before + s for s in clamps_mm],
            hold=on_form.clamp_holds_n / depth,
            jaw=figure("clamp_force_n", recipe.shop).value / depth,
            slack=on_form.slack_mm,
            friction=friction,
            pressure=pressing.pressure_kpa / 1000.0,
        )
    )
    return found.most(before, before + laminate.pressed.length_mm)


def rows(form: Holding) -> Iterator[tuple[str, Lift, float]]:
    """What is held, the program's lift, the independent model's."""
    on_form = form.on_form
    if on_form is None:
        return
    layout = Layout.of(form.laminate, form.pressing.side, form.relief_stations_mm)
    for what, clamps, lifts in (
        ("feet alone", layout.feet().stations_mm, (on_form.feet_alone,)),
        ("end pairs", layout.end_pairs().stations_mm, (on_form.end_pairs,)),
        ("those that stay", [c.station_mm for c in on_form.stays], on_form.staying),
    ):
        for lift in lifts:
            yield what, lift, independent(form, on_form, clamps, lift.friction)


def _print(names: Sequence[str]) -> None:
    print("| recipe | held by | μ | program, mm | independent, mm |\n|---|---|---|---|---|")
    for path in sorted(RECIPES.glob("*.yaml")):
        if path.stem == "shop" or (names and path.stem not in names):
            continue
        for what, lift, other in rows(run(load_recipe(path))):
            print(f"| {path.stem} | {what} | {lift.friction:g} | {lift.lift_mm:.3f} | {other:.3f} |", flush=True)


if __name__ == "__main__":
    _print(sys.argv[1:])
