"""Stage `outputs`: a DXF file read again and held against the model.

In: a file, the shapes that it must hold, and the faces that its outlines must follow; mm. Out: one line for each
difference; none means that the file is good.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np

from formgen.fixed import fixed
from formgen.form.model import Form
from formgen.form.stack import Layer
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.distance import distances_mm
from formgen.geometry.outline import Outline
from formgen.outputs.dxf import expected
from formgen.outputs.dxf.compare import differences, drawn_twice
from formgen.outputs.dxf.layers import in_a_row, names_of, stack_layer
from formgen.outputs.dxf.names import drawing_units
from formgen.outputs.dxf.reader import read_drawing
from formgen.outputs.dxf.shapes import Drawn

#: The face may be this far from the file's outline.
FACE_MM = 0.01
#: Points on a face that are looked at.
FACE_POINTS = 65


@fixed
class FaceCheck:
    """A face that outlines in a drawing must follow.

    Args:
        drawing_layer: where the outlines are.
        face: the face, in the form's axes.
        outline: outline of the layer of board in the model; where it leaves the face (a bar seat), so may the file.
        shifts_mm: shift along x of each outline in the drawing, in the file's order.
    """

    drawing_layer: str
    face: ArcSpline
    outline: Outline
    shifts_mm: tuple[float, ...]


@fixed
class DrawingCheck:
    """The demands on a file: shapes, faces, version and units.

    Args:
        expected: what it must hold.
        faces: what its outlines must follow.
        written: its drawing layers of labels and marks, upper case, where lines may lie on one another; none cuts.
        version: DXF version, `R12` to `R2018`.
        in_inches: its units are inches, else mm.
    """

    expected: Sequence[Drawn]
    faces: Sequence[FaceCheck]
    written: frozenset[str]
    version: str
    in_inches: bool


def check_layer(path: Path, form: Form, layer: Layer) -> Iterator[str]:
    """Differences of the drawing of one layer."""
    shop = form.recipe.shop
    names = names_of(form, layer)
    shifts = tuple(dx_mm for _, dx_mm in in_a_row(layer, shop))
    face = FaceCheck(drawing_layer=names.outside_profile, face=layer.face, outline=layer.outline, shifts_mm=shifts)
    written = frozenset({names.labels.upper(), names.marks.upper()})
    return _checked(path, form, expected.layer_drawing(form, layer), (face,), written)


def check_stack(path: Path, form: Form) -> Iterator[str]:
    """Differences of the drawing of the whole stack."""
    faces = tuple(
        FaceCheck(drawing_layer=stack_layer(layer), face=layer.face, outline=layer.outline, shifts_mm=(0.0,))
        for layer in form.layers
    )
    return _checked(path, form, expected.stack_drawing(form), faces, frozenset())


def _checked(
    path: Path, form: Form, drawn: Sequence[Drawn], faces: Sequence[FaceCheck], written: frozenset[str]
) -> Iterator[str]:
    version, in_inches = form.recipe.shop.router.dxf_version, drawing_units(form) == "in"
    check = DrawingCheck(expected=drawn, faces=faces, written=written, version=version, in_inches=in_inches)
    return check_drawing(path, check)


def check_drawing(path: Path, check: DrawingCheck) -> Iterator[str]:
    """Differences of one DXF file, each without the file's name."""
    try:
        found, version, says_inches = read_drawing(path, in_inches=check.in_inches)
    except ValueError as err:
        yield f"cannot be read as DXF ({' '.join(str(err).split()) or 'no reason given'}): build again"
        return
    if version != check.version:
        yield f"is DXF {version}, expected {check.version}: build again"
    if check.version != "R12" and says_inches != check.in_inches:
        yield f"does not say that its units are {'inches' if check.in_inches else 'mm'}: build again"
    yield from drawn_twice(d for d in found if d.layer not in check.written)
    wanted, held = _by_layer(check.expected), _by_layer(found)
    for key in sorted(wanted.keys() | held.keys()):
        yield from differences(key[0], wanted.get(key, []), held.get(key, []))
    for face in check.faces:
        yield from _off_the_face(found, face)


def _by_layer(drawn: Sequence[Drawn]) -> dict[tuple[str, str], list[Drawn]]:
    groups: dict[tuple[str, str], list[Drawn]] = defaultdict(list)
    for d in drawn:
        groups[d.layer, d.kind].append(d)
    return groups


def _off_the_face(found: Sequence[Drawn], check: FaceCheck) -> Iterator[str]:
    """A line if the outlines of the file leave the face where the model's outline keeps to it."""
    points = check.face.points(np.linspace(0.0, check.face.length_mm, FACE_POINTS))
    points = points[distances_mm(points, check.outline.edges) < FACE_MM / 100]
    outlines = [d.outline for d in found if d.layer == check.drawing_layer.upper() and d.kind == "closed outline"]
    outlines = outlines[: len(check.shifts_mm)]
    off = np.full(len(points), np.inf)
    for outline, dx_mm in zip(outlines, check.shifts_mm, strict=False):
        if outline is not None:
            np.minimum(off, distances_mm(points + np.array([dx_mm, 0.0]), outline.edges), out=off)
    if len(points) and off.max() > FACE_MM:
        yield (
            f"drawing layer {check.drawing_layer}: the outline is {off.max():.3f} mm off the form face, "
            f"expected within {FACE_MM} mm: build again"
        )
