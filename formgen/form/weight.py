"""Stage `form`: what form and part weigh, and how many sheets the layers need at the very least.

In: the pressing and the layers. Out: kg, m², sheets. Laying the pieces out on sheets is another stage.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from formgen.findings import Finding, finding
from formgen.form.model import Weights
from formgen.form.stack import Layer, Piece
from formgen.laminate.plies import Ply
from formgen.press.setup import Pressing
from formgen.recipe.catalogue import wood, wood_names
from formgen.recipe.figures import figure
from formgen.recipe.model import Recipe
from formgen.recipe.shop import Shop

#: Moisture at which the woods' specific gravity is given.
MOISTURE_SHARE = 0.12


def wood_kg_per_m3(specific_gravity: float) -> float:
    """Density with its water at 12 % moisture: ρ = 1000 G (1 + M).

    Reference:
        Wood Handbook, FPL-GTR-282, ch. 4: G is oven-dry mass over volume at 12 %.
    """
    return 1000.0 * specific_gravity * (1.0 + MOISTURE_SHARE)


def piece_mm3(piece: Piece, thickness_mm: float) -> float:
    """Volume of a piece as cut."""
    holes = math.fsum(math.pi * h.diameter_mm**2 / 4.0 for h in piece.holes)
    through = piece.outline.area_mm2 - holes - math.fsum(o.outline.area_mm2 for o in piece.openings)
    return through * thickness_mm - math.fsum(g.cleared.area_mm2 * g.depth_mm for g in piece.grooves)


def weigh(pressing: Pressing, layers: Sequence[Layer]) -> Weights:
    """Weights of form and part, and the least number of sheets."""
    recipe = pressing.recipe
    sheet = recipe.sheet
    pieces = [(piece, piece_mm3(piece, layer.thickness_mm)) for layer in layers for piece in layer.pieces]
    density = sheet.density_kg_per_m3 * 1e-9
    heaviest, most = max(pieces, key=lambda held: held[1])
    plies = [_ply_kg(ply, pressing, recipe.shop) for ply in pressing.laminate.plies]
    board = math.fsum(piece.outline.area_mm2 for piece, _ in pieces)
    usable = (sheet.length_mm - 2.0 * sheet.edge_margin_mm) * (sheet.width_mm - 2.0 * sheet.edge_margin_mm)
    form_kg = math.fsum(volume for _, volume in pieces) * density
    part_kg = math.fsum(kg for kg, _ in plies)
    limit = figure("lifting_limit_kg", recipe.shop).value
    return Weights(
        form_kg=form_kg,
        heaviest_piece_kg=most * density,
        heaviest_piece=heaviest.name,
        part_kg=part_kg,
        part_guessed=any(guessed for _, guessed in plies),
        board_m2=board * 1e-6,
        sheets_at_least=math.ceil(board / usable - 1e-9),
        limit_kg=limit,
        cautions=("dust", "router", *(("lifting",) if max(form_kg, part_kg) > limit else ())),
    )


def weight_findings(weights: Weights, recipe: Recipe) -> list[Finding]:
    """List what is too heavy for one person."""
    limit = figure("lifting_limit_kg", recipe.shop)
    return [
        finding(code, recipe.units, value=kg, limit=limit.value, figure_source=limit.source)
        for code, kg in (("form.heavy", weights.form_kg), ("form.part-heavy", weights.part_kg))
        if kg > limit.value
    ]


def _ply_kg(ply: Ply, pressing: Pressing, shop: Shop) -> tuple[float, bool]:
    """Weight of a ply with its waste, and whether its density is a guess."""
    part = pressing.recipe.part
    volume = ply.length_mm * ply.thickness_mm * part.pressed_depth_mm * 1e-9
    gravity = wood(ply.wood, shop).specific_gravity if ply.wood in wood_names(shop.woods) else None
    if gravity is None:
        return volume * figure("unnamed_ply_kg_per_m3", shop).value, True
    return volume * wood_kg_per_m3(gravity), False
