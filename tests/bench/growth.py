"""How a form's time grows with its layers, and with the pieces of its curve, beside the plain script in one process.

Everything is loaded before; processor time of one form with all its files and pages, the least of a few. The plain
script knows one curve, so it grows with layers only.
"""

from __future__ import annotations

import math
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from formgen.outputs.folder.write import write_all
from formgen.pipeline import run
from formgen.recipe.arch_kinds import Chain
from formgen.recipe.load import load_recipe
from formgen.recipe.model import Recipe
from formgen.recipe.schema import Legs
from formgen.reports.pages import PAGES
from tests.bench.plain_form import SHEET
from tests.bench.plain_form import main as plain_form

RECIPE = Path(__file__).parents[2] / "recipes" / "porch-door-jamb.yaml"
LAYERS, PIECES = (4, 8, 16, 32, 64), (2, 8, 32, 128)


def changed(**part: object) -> Recipe:
    """The porch jamb with another depth or curve."""
    base = load_recipe(RECIPE)
    asked = base.asked.model_copy(update={"part": base.asked.part.model_copy(update=part)})
    return Recipe(asked=asked, shop=base.shop, folder=base.folder, sheet_name=base.sheet_name, sheet=base.sheet)


def deep(layers: int) -> Recipe:
    """A jamb that takes so many layers."""
    recipe = changed(depth_mm=(layers - 0.96) * SHEET)
    made = len(run(recipe).layers)
    if made != layers:
        raise AssertionError(f"the form has {made} layers, expected {layers}")
    return recipe


def many_arcs(pieces: int) -> Recipe:
    """A jamb whose head is so many arcs, nearly half a circle in all, each of a radius of its own."""
    radii_mm = [400 + (50 if i % 2 else 0) + 0.5 * i for i in range(pieces)]
    turn_rad = math.radians(170) / pieces
    chain = [{"length": f"{turn_rad * r:.6f} mm", "radius": f"{r} mm"} for r in radii_mm]
    legs = Legs.model_validate({"length": "14 in", "run": "tangent"})  # the head ends a little before it is plumb
    return changed(arch=Chain.model_validate({"kind": "chain", "pieces": chain}), legs=legs)


def least_seconds(task: Callable[[Path], object], repeats: int = 3) -> float:
    """Least processor time of a task that gets a new folder each time."""
    times = []
    for _ in range(repeats):
        with tempfile.TemporaryDirectory() as folder:
            begin = time.process_time()
            task(Path(folder))
            times.append(time.process_time() - begin)
    return min(times)


def ours(recipe: Recipe) -> Callable[[Path], object]:
    """The whole of a form, from the recipe understood to the files read back."""
    return lambda folder: write_all(run(recipe), folder, pages=PAGES)


def compare() -> None:
    """Measure and print."""
    least_seconds(ours(deep(4)), 1)  # loads everything
    print("layers    plain script     formgen      of the plain script")
    for layers in LAYERS:
        recipe = deep(layers)
        plain = least_seconds(lambda folder, n=layers: plain_form(folder, n))  # type: ignore[misc]
        mine = least_seconds(ours(recipe))
        print(f"{layers:6}{plain:14.2f} s{mine:10.2f} s{mine / plain:14.2f}")
    print("pieces of the curve      formgen      of two pieces")
    first = 0.0
    for pieces in PIECES:
        mine = least_seconds(ours(many_arcs(pieces)))
        first = first or mine
        print(f"{pieces:6}{mine:24.2f} s{mine / first:14.2f}")
