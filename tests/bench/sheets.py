"""Sheets used by each engine, against boxes around the pieces packed by `rectpack` and against the bound by area.

`python -m tests.bench.sheets` lays out ring forms of 20 openings, then 60 (`--openings`), in one and in three pieces a
layer, on 49 × 97 in sheets. `rectpack` (Apache 2.0, a general rectangle packer) gets the same boxes and distances and
is taken at the best of its algorithms and orders. The dense engine runs where its library is installed.
"""

from __future__ import annotations

import argparse
import math
import time
from collections.abc import Sequence
from itertools import product
from pathlib import Path

from formgen.recipe.load import load_recipe
from formgen.recipe.model import Recipe
from formgen.recipe.shop import Shop
from formgen.sheets.dense import dense_installed
from formgen.sheets.division import divided
from formgen.sheets.layout import Choice, sheet_parts
from formgen.sheets.model import Effort, Part, Stock
from formgen.sheets.parts import parts_of, rules_of, stock_of

RECIPE = Path(__file__).parents[2] / "recipes" / "porch-door-jamb.yaml"
IN = 25.4


def recipes(count: int) -> list[Recipe]:
    """Jambs of spans from 24 to 54 in, legs from 0 to 18 in, depths from 3 to 6 in, each its own; no chance in it."""
    base = load_recipe(RECIPE)
    made = []
    for i in range(count):
        share, other = i / max(count - 1, 1), i * 7 % count / max(count - 1, 1)
        arch = base.asked.part.arch.model_copy(update={"span_mm": (24 + 30 * share) * IN})
        size = {"arch": arch, "legs": (2 + 16 * other) * IN, "depth_mm": (3 + 3 * (1 - other)) * IN}
        part = base.asked.part.model_copy(update=size)
        backing = base.asked.form.model_copy(update={"backing_mm": 4 * IN})
        asked = base.asked.model_copy(update={"name": f"jamb-{i:03d}", "part": part, "form": backing})
        made.append(
            Recipe(asked=asked, shop=base.shop, folder=base.folder, sheet_name=base.sheet_name, sheet=base.sheet)
        )
    return made


def by_rectpack(parts: Sequence[Part], stock: Stock, gap_mm: float) -> int:
    """Fewest sheets that `rectpack` takes for the boxes, of its algorithms, box choices and orders (18 in all)."""
    import rectpack
    from rectpack import guillotine, maxrects, skyline

    algorithms = (
        maxrects.MaxRectsBssf, maxrects.MaxRectsBlsf, maxrects.MaxRectsBaf, skyline.SkylineMwf, skyline.SkylineBlWm,
        guillotine.GuillotineBssfSas,
    )  # fmt: skip
    orders = (rectpack.SORT_AREA, rectpack.SORT_LSIDE, rectpack.SORT_SSIDE)
    room = [side - 2 * stock.edge_margin_mm + gap_mm for side in (stock.length_mm, stock.width_mm)]
    found = []
    for algorithm, order in product(algorithms, orders):
        packer = rectpack.newPacker(
            pack_algo=algorithm, sort_algo=order, bin_algo=rectpack.PackingBin.BFF, rotation=True
        )
        for part in parts:
            x0, y0, x1, y1 = part.piece.outline.bounds
            packer.add_rect(x1 - x0 + gap_mm, y1 - y0 + gap_mm)
        packer.add_bin(*room, count=len(parts))
        packer.pack()
        placed = sum(len(held) for held in packer)
        found.append(len(packer) if placed == len(parts) else math.inf)
    return int(min(found))


def compare(count: int, pieces: int, effort: Effort) -> None:
    """Measure and print one case."""
    asked = recipes(count)
    shop: Shop = asked[0].shop
    forms = [divided(recipe, pieces) for recipe in asked]
    parts, stock, rules = parts_of(forms, {}), stock_of(forms, shop), rules_of(shop)
    begin = time.process_time()
    boxes = by_rectpack(parts, stock[0], rules.gap_mm)
    rows = [("boxes by rectpack, best of 18", boxes, time.process_time() - begin)]
    engines: list[Choice] = ["quick", *(["dense"] if dense_installed() else [])]  # type: ignore[list-item]
    bound = 0
    for engine in engines:
        begin = time.process_time()
        sheets = sheet_parts(parts, stock, rules, effort, engine=engine)
        rows.append((f"{engine}, {effort}", sheets.new_sheets, time.process_time() - begin))
        bound = sum(run.at_least for run in sheets.runs)
    print(f"{count} openings, {pieces} pieces a layer at least, {len(parts)} pieces; by area no fewer than {bound}:")
    for name, number, seconds in rows:
        print(f"  {name:<30}{number:5} sheets {number / boxes:6.2f} of the boxes {seconds:8.1f} s of processor")


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.sheets", description=__doc__)
    parser.add_argument("--openings", type=int, nargs="*", default=[20, 60])
    parser.add_argument("--pieces", type=int, nargs="*", default=[1, 3])
    parser.add_argument("--effort", choices=["preview", "normal", "most"], default="preview")
    given = parser.parse_args()
    for count, pieces in product(given.openings, given.pieces):
        compare(count, pieces, given.effort)


if __name__ == "__main__":
    main()
