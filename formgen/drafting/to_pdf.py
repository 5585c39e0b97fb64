"""Drafting: sheets of ink as pages of a PDF: the same ink that `formgen/outputs/dxf/paper.py` writes.

In: sheets, mm on paper. Out: a PDF of as many pages, true to size: strokes with their widths and dashes, fills, words
in the drafting face. Arcs become cubic curves within 0.001 mm on paper.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import lru_cache
from itertools import chain
from typing import Any

from formgen.drafting.ink import Fill, Ink, Sheet, Size, Stroke, Words
from formgen.drafting.paper import FACES, begin_page, face_size, new_pdf
from formgen.geometry.edge import Edge, edges_between
from formgen.geometry.outline import Vertex

#: A cubic for at most this turn of an arc: within 4e-6 of the radius at 45° (closed form of its greatest error).
TURN_RAD = math.radians(45.0)


def pdf_of(sheets: Sequence[Sheet], title: str) -> bytes:
    """The pages of a drawing."""
    with new_pdf(sheets[0].width_mm, sheets[0].height_mm, title) as pdf:
        for number, sheet in enumerate(sheets):
            if number:
                pdf.canvas.showPage()
                begin_page(pdf.canvas)
            put(pdf.canvas, sheet.inks)
    return pdf.content


def put(canvas: Any, inks: Iterable[Ink]) -> None:
    """Draw inks on a canvas of mm, in their order."""
    pen = None
    for ink in chain.from_iterable(given.parts if isinstance(given, Size) else (given,) for given in inks):
        if isinstance(ink, Words):
            _words(canvas, ink)
            continue
        if isinstance(ink, Stroke) and ink.pen is not pen:
            pen = ink.pen
            canvas.setLineWidth(pen.width_mm)
            canvas.setStrokeGray(pen.grey)
            canvas.setDash(list(pen.dashes_mm))
        if isinstance(ink, Fill):
            canvas.setFillGray(ink.pen.grey)
            canvas.drawPath(_path(ink.vertices, closed=True), stroke=0, fill=1)
        else:
            canvas.drawPath(_path(ink.vertices, closed=ink.closed), stroke=1, fill=0)


@lru_cache(maxsize=512)
def _path(vertices: tuple[Vertex, ...], *, closed: bool) -> Any:
    """A path for any canvas: the pages of a template show the same strokes over and over."""
    from reportlab.pdfgen.pathobject import PDFPathObject

    path = PDFPathObject()
    path.moveTo(*vertices[0][:2])
    for edge in edges_between((*vertices, vertices[0]) if closed else vertices):
        if not edge.bulge:
            path.lineTo(*edge.b)
            continue
        count = max(1, math.ceil(abs(edge.sweep_rad) / TURN_RAD - 1e-9))
        for i in range(count):
            _curve(path, edge.between(i / count, (i + 1) / count))
    if closed:
        path.close()
    return path


def _curve(path: Any, arc: Edge) -> None:
    """One cubic: its handles lie on the end tangents, 4/3 tan(sweep/4) of the radius long."""
    along = math.atan2(arc.b[1] - arc.a[1], arc.b[0] - arc.a[0])
    half = arc.sweep_rad / 2.0
    handle = 4.0 / 3.0 * abs(arc.bulge) * arc.radius_mm
    a, b = along - half, along + half
    path.curveTo(
        arc.a[0] + handle * math.cos(a), arc.a[1] + handle * math.sin(a),
        arc.b[0] - handle * math.cos(b), arc.b[1] - handle * math.sin(b),
        *arc.b,
    )  # fmt: skip


def _words(canvas: Any, words: Words) -> None:
    canvas.setFillGray(0.0)
    canvas.setFont(FACES[words.face], face_size(words.height_mm))
    draw = {"left": canvas.drawString, "middle": canvas.drawCentredString, "right": canvas.drawRightString}
    if not words.angle_rad:
        draw[words.anchor](*words.at, words.text)
        return
    canvas.saveState()
    canvas.translate(*words.at)
    canvas.rotate(math.degrees(words.angle_rad))
    draw[words.anchor](0.0, 0.0, words.text)
    canvas.restoreState()
