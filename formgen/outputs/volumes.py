"""Stage `outputs`: volumes in closed form, against which solids and meshes are held; mm, mm³."""

from __future__ import annotations

import math

from formgen.form.model import Form, Piece


def piece_volume_mm3(piece: Piece, thickness_mm: float) -> float:
    """Areas times depths: the outline less openings and holes right through, and grooves to their depth."""
    through = piece.outline.area_mm2
    through -= math.fsum(opening.outline.area_mm2 for opening in piece.openings)
    through -= math.fsum(math.pi * hole.diameter_mm**2 / 4 for hole in piece.holes)
    return through * thickness_mm - math.fsum(g.cleared.area_mm2 * g.depth_mm for g in piece.grooves)


def stack_volume_mm3(form: Form) -> float:
    """All pieces together."""
    return math.fsum(piece_volume_mm3(piece, layer.thickness_mm) for layer, piece in form.pieces)


def chord_volume_mm3(form: Form, chord_mm: float) -> float:
    """The most by which a mesh can differ whose chords stay within `chord_mm` of the arcs: two thirds of a strip."""
    strips = 0.0
    for layer, piece in form.pieces:
        outlines = [piece.outline, *(o.outline for o in piece.openings), *(g.cleared for g in piece.grooves)]
        arcs = math.fsum(e.length_mm for outline in outlines for e in outline.edges if e.bulge)
        arcs += math.fsum(math.pi * hole.diameter_mm for hole in piece.holes)
        strips += arcs * layer.thickness_mm
    return strips * chord_mm * 2 / 3
