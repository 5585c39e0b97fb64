"""Stage `outputs`: the STEP file read again and held against the model; mm.

In: a file and a `Stack`. Out: one line for each difference. Names are read from the text of the file (ISO 10303-21),
volumes, places and radii by the solid kernel, which is imported when it is needed.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, cast

from formgen.form.stack import Layer, Piece, Stack
from formgen.geometry.edge import Edge
from formgen.outputs.volumes import piece_volume_mm3

if TYPE_CHECKING:
    import cadquery as cq

#: What the kernel's numbers are good for: shares of a volume and of a radius, and its bounding boxes.
VOLUME_SHARE = 1e-6
RADIUS_SHARE = 1e-6
BOX_MM = 1e-3
#: Last digits by which the middle of an arc may lie off the chord otherwise than the model says.
DIGITS = 4.0

_OCCURRENCE = r"=\s*NEXT_ASSEMBLY_USAGE_OCCURRENCE\s*\(\s*'[^']*'\s*,\s*'([^']*)'"


def written_and_read(stack: Stack, path: Path) -> list[str]:
    """Write the STEP file of a stack and read it again: what the kernel's process is asked to do."""
    from formgen.outputs.step.writer import write_step

    write_step(stack, path)
    return list(check_step(path, stack))


def check_step(path: Path, stack: Stack) -> Iterator[str]:
    """Differences of the assembly: the names of its instances, and of each its place, volume and cylinder radii."""
    wanted = [piece.name for _, piece in stack.pieces]
    named = re.findall(_OCCURRENCE, path.read_text(encoding="ascii", errors="replace"))
    if named != wanted:
        missing = ", ".join(sorted(set(wanted) - set(named))) or "none"
        more = ", ".join(sorted(set(named) - set(wanted))) or "none"
        yield (
            f"its {len(named)} pieces are not the model's {len(wanted)} in order (missing: {missing}; "
            f"not in the model: {more}): build again"
        )
        return
    try:
        solids = _solids(path)
    except Exception as err:  # the kernel raises whatever comes up on a broken file
        yield f"cannot be read as STEP ({type(err).__name__}): build again"
        return
    if len(solids) != len(wanted):
        yield f"holds {len(solids)} solids, expected {len(wanted)}: build again"
        return
    for (layer, piece), solid in zip(stack.pieces, solids, strict=True):
        for difference in _piece(layer, piece, solid):
            yield f"piece {piece.name}: {difference}: cut from another file? build again"


def _solids(path: Path) -> list[cq.Solid]:
    """The solids of a file in order, each where it lies."""
    from formgen.form.solid_kernel import load_cadquery

    load_cadquery()
    import cadquery as cq

    return [solid for shape in cq.importers.importStep(str(path)).vals() for solid in cast("cq.Shape", shape).Solids()]


def _piece(layer: Layer, piece: Piece, solid: cq.Solid) -> Iterator[str]:
    volume = piece_volume_mm3(piece, layer.thickness_mm)
    excess = solid.Volume() - volume
    if abs(excess) > VOLUME_SHARE * volume:
        yield f"volume {abs(excess):.1f} mm³ {'larger' if excess > 0 else 'smaller'} than the model's {volume:.1f} mm³"
    x0, y0, x1, y1 = piece.outline.bounds
    box = solid.BoundingBox()
    wanted = (x0, y0, layer.front_mm, x1, y1, layer.front_mm + layer.thickness_mm)
    held = (box.xmin, box.ymin, box.zmin, box.xmax, box.ymax, box.zmax)
    off = max(abs(a - b) for a, b in zip(wanted, held, strict=True))
    if off > BOX_MM:
        yield f"its bounding box is {off:.3f} mm off"
    radii, true = cylinder_radii_mm(solid), arc_radii_mm(piece)
    wrong = [r for r in radii if not any(abs(r - other) < within for other, within in true)]
    wrong += [r for r, within in true if not any(abs(r - other) < within for other in radii)]
    if wrong:
        yield f"a curved face has radius {wrong[0]:.5f} mm, which its outline and the file do not share"


def cylinder_radii_mm(solid: cq.Solid) -> list[float]:
    """Radii of the cylindrical faces."""
    from OCP.BRepAdaptor import BRepAdaptor_Surface

    faces = [face for face in solid.Faces() if face.geomType() == "CYLINDER"]
    return [BRepAdaptor_Surface(face.wrapped).Cylinder().Radius() for face in faces]


def arc_radii_mm(piece: Piece) -> list[tuple[float, float]]:
    """Radii of all arcs that are cut right through a piece, and how far off each the file's may be."""
    holes = (hole.diameter_mm / 2 for hole in piece.holes)
    outlines = (piece.outline, *(opening.outline for opening in piece.openings))
    arcs = ((edge.radius_mm, _within_mm(edge)) for outline in outlines for edge in outline.edges if edge.bulge)
    return [*((radius, RADIUS_SHARE * radius) for radius in holes), *arcs]


def _within_mm(edge: Edge) -> float:
    """Return how far the file's radius of an arc may be off: the kernel takes an arc from three of its points.

    Of one so short and flat that their last digits turn its radius by more, no more is asked than they can tell.
    """
    digit = math.ulp(max(abs(v) for v in (*edge.a, *edge.b)))
    sagitta = abs(edge.bulge) * edge.chord_mm / 2.0
    return edge.radius_mm * max(RADIUS_SHARE, DIGITS * digit / sagitta)
