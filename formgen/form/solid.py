"""Stage `form`: the solids of the pieces and the assembly of the stack; the only place where CadQuery builds any.

In: a `Stack`, mm. Out: CadQuery solids and an assembly in the form's axes, mm. Nothing is written here, and
what is only drawn on a piece (marks, labels) is not in its solid. CadQuery takes seconds to import, so it is imported
when the first solid is asked for.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from formgen.errors import FormError
from formgen.form.solid_kernel import load_cadquery
from formgen.form.stack import Groove, Piece, Stack
from formgen.geometry.outline import Outline, whole_circle

if TYPE_CHECKING:
    import cadquery as cq

#: Colours of the board in solid views, of plain layers and of those set back for air: linear red, green, blue.
BOARD_COLOUR = (0.46, 0.29, 0.16)
CHANNEL_COLOUR = (0.27, 0.36, 0.38)


def piece_solid(piece: Piece, thickness_mm: float) -> cq.Solid:
    """The solid of one piece, its lower face at z = 0, its upper face at z = `thickness_mm`.

    One face with inner wires is extruded once; grooves, blind from the upper face, are cut afterwards. An arc of the
    outline becomes a true cylindrical face of the same radius.

    Raises:
        FormError: the grooves cut the piece apart.
    """
    load_cadquery()
    import cadquery as cq

    inner = [_wire(o.outline) for o in piece.openings]
    inner += [cq.Wire.makeCircle(h.diameter_mm / 2, cq.Vector(*h.centre), cq.Vector(0, 0, 1)) for h in piece.holes]
    solid = cq.Solid.extrudeLinear(_wire(piece.outline), inner, cq.Vector(0, 0, thickness_mm))
    if not piece.grooves:
        return solid
    solids = solid.cut(*(_groove_tool(g, thickness_mm) for g in piece.grooves)).Solids()
    if len(solids) != 1:
        raise FormError(f"piece {piece.name}: its grooves leave {len(solids)} solids, expected 1; make them shallower")
    return solids[0]


def form_assembly(stack: Stack) -> cq.Assembly:
    """The stack as an assembly: one named instance of each piece, where it lies.

    Pieces that are cut alike from the same thickness, in whichever layer, share one solid. The children are in
    the order of `stack.pieces` and named as the pieces are.
    """
    load_cadquery()
    import cadquery as cq

    assembly = cq.Assembly(name=stack.name)
    solids: dict[tuple[object, ...], cq.Solid] = {}
    for layer, piece in stack.pieces:
        key = (*piece.cut, layer.thickness_mm)
        if key not in solids:
            solids[key] = piece_solid(piece, layer.thickness_mm)
        place = cq.Location(cq.Vector(0, 0, layer.front_mm))
        colour = cq.Color(*(CHANNEL_COLOUR if layer.channel else BOARD_COLOUR))
        assembly.add(solids[key], name=piece.name, loc=place, color=colour)
    return assembly


def alike(stack: Stack) -> tuple[tuple[str, ...], ...]:
    """Names of the pieces that share one solid, set by set, in the order in which `form_assembly` meets them."""
    names: dict[tuple[object, ...], list[str]] = {}
    for layer, piece in stack.pieces:
        names.setdefault((*piece.cut, layer.thickness_mm, layer.channel), []).append(piece.name)
    return tuple(tuple(group) for group in names.values())


def _wire(outline: Outline) -> cq.Wire:
    import cadquery as cq

    circle = whole_circle(outline)
    if circle:
        return cq.Wire.makeCircle(circle[1], cq.Vector(*circle[0]), cq.Vector(0, 0, 1))
    edges = []
    for e in outline.edges:
        a, b = cq.Vector(*e.a), cq.Vector(*e.b)
        edges.append(cq.Edge.makeThreePointArc(a, cq.Vector(*e.at(0.5)), b) if e.bulge else cq.Edge.makeLine(a, b))
    return cq.Wire.assembleEdges(edges)


def _groove_tool(groove: Groove, thickness_mm: float) -> cq.Solid:
    """Return what the cutter sweeps: from above the piece down to the groove's floor."""
    import cadquery as cq

    above_mm = 1.0  # clear of the upper face, so that the two faces never lie in one plane
    tool = cq.Solid.extrudeLinear(_wire(groove.outline), [], cq.Vector(0, 0, groove.depth_mm + above_mm))
    return tool.moved(cq.Location(cq.Vector(0, 0, thickness_mm - groove.depth_mm)))
