"""Stage `outputs`: volumes in closed form, against which solids and meshes are held; mm, mm³."""

from __future__ import annotations

import math
from itertools import pairwise

from formgen.form.stack import Piece, Stack
from formgen.geometry.outline import Outline


def piece_volume_mm3(piece: Piece, thickness_mm: float) -> float:
    """Areas times depths: the outline less openings and holes right through, and grooves to their depth."""
    through = piece.outline.area_mm2
    through -= math.fsum(opening.outline.area_mm2 for opening in piece.openings)
    through -= math.fsum(math.pi * hole.diameter_mm**2 / 4 for hole in piece.holes)
    return through * thickness_mm - math.fsum(g.cleared.area_mm2 * g.depth_mm for g in piece.grooves)


def stack_volume_mm3(stack: Stack) -> float:
    """All pieces together."""
    return math.fsum(piece_volume_mm3(piece, layer.thickness_mm) for layer, piece in stack.pieces)


def chord_volume_mm3(stack: Stack, chord_mm: float) -> float:
    """The most by which a mesh can differ whose chords stay within `chord_mm` of the arcs: two thirds of a strip."""
    strips_mm2 = 0.0
    for layer, piece in stack.pieces:
        arcs = math.fsum(e.length_mm for outline in _outlines(piece) for e in outline.edges if e.bulge)
        arcs += math.fsum(math.pi * hole.diameter_mm for hole in piece.holes)
        strips_mm2 += arcs * layer.thickness_mm
    return strips_mm2 * chord_mm * 2 / 3


def rounding_volume_mm3(stack: Stack, step_mm: float) -> float:
    """The most by which a body can differ whose corners are rounded to a step: half a step up or down, one sideways.

    A level at which one layer ends and the next begins moves as one, so that only what they do not share counts.
    """
    areas = [math.fsum(p.outline.area_mm2 for p in layer.pieces) for layer in stack.layers]
    flat_mm2 = math.fsum(abs(upper - lower) for lower, upper in pairwise([0.0, *areas, 0.0]))
    flat_mm2 += math.fsum(groove.cleared.area_mm2 for _, piece in stack.pieces for groove in piece.grooves)
    walls_mm2 = math.fsum(o.length_mm * layer.thickness_mm for layer, piece in stack.pieces for o in _outlines(piece))
    return (flat_mm2 / 2 + walls_mm2) * step_mm


def _outlines(piece: Piece) -> tuple[Outline, ...]:
    return piece.outline, *(o.outline for o in piece.openings), *(g.cleared for g in piece.grooves)
