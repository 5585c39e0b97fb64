"""Stage `reports`: the form and the part on it as flat shapes with heights, for the picture that turns.

In: a Form. Out: numbers in tenths of a mm, for `view.js`. A shape is a stack of slabs, each the same right through:
rings (the edge anticlockwise, holes clockwise) and the triangles between them. Pieces that are cut alike share one.
Arcs become chords within `CHORD_MM`, which is for looking at: what is cut is in the drawings.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from formgen.form.stack import Piece
from formgen.geometry.outline import Outline, circle_outline
from formgen.holding.model import Holding
from formgen.reports.drawing.shapes import strip
from formgen.reports.web.drawing import TENTHS
from formgen.reports.web.layer_drawing import ink

#: Greatest distance of a chord from its arc (mm).
CHORD_MM = 0.1

Ring = NDArray[np.int64]


def solid_model(form: Holding) -> dict[str, Any]:
    """Return what the picture is made of.

    Returns:
        `solids` (each a list of slabs with `low`, `high`, `rings`, `triangles`), `layers` (`number`, `low`, `pieces` as
        indices of solids, `ink`: its letters, as a path), and `part` (`low`, `solid`).
    """
    solids: list[list[dict[str, Any]]] = []
    known: dict[tuple[object, ...], int] = {}
    layers = []
    for layer in form.layers:
        for piece in layer.pieces:
            if piece.cut not in known:
                known[piece.cut] = len(solids)
                solids.append(_slabs(piece, layer.thickness_mm))
        layers.append(
            {
                "number": layer.number,
                "low": round(layer.front_mm * TENTHS),
                "pieces": [known[piece.cut] for piece in layer.pieces],
                "ink": ink(layer),
            }
        )
    depth = form.recipe.part.depth_mm
    solids.append([_slab([_ring(strip(form.laminate.pressed, form.laminate.thickness_mm))], 0.0, depth)])
    middle = round((form.depth_mm - depth) / 2.0 * TENTHS)
    return {"solids": solids, "layers": layers, "part": {"low": middle, "solid": len(solids) - 1}}


def _slabs(piece: Piece, thickness_mm: float) -> list[dict[str, Any]]:
    """Stretches of a piece's thickness through which its shape stays the same: more than one where it has grooves."""
    through = [o.outline for o in piece.openings]
    through += [circle_outline(h.centre, h.diameter_mm / 2.0) for h in piece.holes]
    rings = [_ring(piece.outline), *(_ring(hole)[::-1] for hole in through)]
    floors = sorted({thickness_mm - groove.depth_mm for groove in piece.grooves})
    slabs = []
    for low, high in pairwise([0.0, *floors, thickness_mm]):
        gone = [groove.cleared for groove in piece.grooves if thickness_mm - groove.depth_mm < high - 1e-9]
        slabs.append(_slab(_less(rings, gone) if gone else rings, low, high))
    return slabs


def _less(rings: Sequence[Ring], gone: Sequence[Outline]) -> list[Ring]:
    """Rings of a shape from which others are cut away."""
    from manifold3d import CrossSection, FillRule

    left = CrossSection([r.astype(float) for r in rings], FillRule.Positive)
    cut = CrossSection([_ring(outline).astype(float) for outline in gone], FillRule.Positive)
    return [ring for polygon in (left - cut).to_polygons() if len(ring := _tidy(polygon)) > 2]


def _slab(rings: Sequence[Ring], low_mm: float, high_mm: float) -> dict[str, Any]:
    from manifold3d import triangulate

    return {
        "low": round(low_mm * TENTHS),
        "high": round(high_mm * TENTHS),
        "rings": [ring.ravel().tolist() for ring in rings],
        "triangles": triangulate([ring.astype(float) for ring in rings]).ravel().tolist(),
    }


def _ring(outline: Outline) -> Ring:
    return _tidy(np.array(outline.flattened(CHORD_MM)) * TENTHS)


def _tidy(points: NDArray[np.float64]) -> Ring:
    """Corners in whole tenths, none twice in a row."""
    whole = np.rint(points).astype(np.int64)
    return np.asarray(whole[np.any(whole != np.roll(whole, 1, axis=0), axis=1)])
