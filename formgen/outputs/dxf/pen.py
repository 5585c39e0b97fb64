"""Stage `outputs`: a DXF document of one version and one unit, and the few kinds of entity that are drawn in it.

In: shapes in mm. Out: entities in the drawing's units; arcs stay arcs. What is drawn and on which layer is decided
by `layers`, not here.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from formgen.geometry.outline import Outline, Point, Vertex, whole_circle
from formgen.lengths import Units
from formgen.libraries import load_ezdxf
from formgen.units import MM_PER_IN

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.entities.dxfgfx import DXFGraphic
    from ezdxf.layouts.layout import Modelspace

MM_PER_INCH = float(MM_PER_IN)
#: Owner of the extended data in which a label's text is kept.
APPLICATION = "FORMGEN"
#: R12, which has no light polylines.
OLDEST = "AC1009"


class Pen:
    """Draws shapes given in mm.

    Args:
        document: an empty drawing.
        units: its units.
        dx_mm: shift along x of all that is drawn.
        reach: gets points, in drawing units, between which all lies that is drawn.
    """

    def __init__(self, document: Drawing, units: Units, reach: list[Point], dx_mm: float = 0.0) -> None:
        self._document = document
        self._units: Units = units
        self._dx_mm = dx_mm
        self._per_mm = 1.0 / MM_PER_INCH if units == "in" else 1.0
        self._space: Modelspace = document.modelspace()
        self._reach = reach

    def shifted(self, dx_mm: float) -> Pen:
        """A pen on the same drawing, shifted further."""
        return Pen(self._document, self._units, self._reach, self._dx_mm + dx_mm)

    def at(self, point: Point) -> Point:
        """A point in drawing units."""
        return (point[0] + self._dx_mm) * self._per_mm, point[1] * self._per_mm

    def closed(self, outline: Outline, layer: str) -> None:
        """A closed shape: one polyline with bulges, or a circle."""
        x0, y0, x1, y1 = outline.bounds
        self._reach += [self.at((x0, y0)), self.at((x1, y1))]
        circle = whole_circle(outline)
        if circle:
            self.circle(circle[0], circle[1], layer)
        else:
            self._polyline([(*self.at(v[:2]), v[2]) for v in outline.vertices], layer, close=True)

    def circle(self, centre: Point, radius_mm: float, layer: str) -> None:
        """A circle."""
        self._reach += [self.at((centre[0] + d, centre[1] + d)) for d in (-radius_mm, radius_mm)]
        self._space.add_circle(self.at(centre), radius_mm * self._per_mm, dxfattribs={"layer": layer})

    def line(self, start: Point, end: Point, layer: str) -> None:
        """A line."""
        self._reach += [self.at(start), self.at(end)]
        self._space.add_line(self.at(start), self.at(end), dxfattribs={"layer": layer})

    def lettering(self, text: str, strokes: Sequence[Sequence[Point]], layer: str) -> None:
        """A label: a polyline for each stroke; the first stroke carries the text as extended data."""
        drawn = (stroke for stroke in map(open_or_closed, strokes) if len(stroke[0]) > 1)
        placed = [([self.at(p) for p in points], close) for points, close in drawn]
        if not placed:
            return
        self._reach += _corners([point for points, _ in placed for point in points])
        if self._document.dxfversion == OLDEST:
            entities = [self._polyline([(*p, 0.0) for p in points], layer, close=close) for points, close in placed]
            entities[0].set_xdata(APPLICATION, [(1000, text)])
            return
        from formgen.outputs.dxf.strokes import add_strokes

        add_strokes(self._space, placed, layer, text, APPLICATION)

    def note(self, text: str, origin: Point, height_mm: float, layer: str) -> None:
        """A line of text that is not cut, its base line beginning at a point."""
        self._reach.append(self.at(origin))
        attributes = {"layer": layer, "insert": self.at(origin), "height": height_mm * self._per_mm}
        self._space.add_text(text, dxfattribs=attributes)

    def _polyline(self, vertices: list[Vertex], layer: str, *, close: bool) -> DXFGraphic:
        if self._document.dxfversion == OLDEST:
            return self._space.add_polyline2d(vertices, format="xyb", close=close, dxfattribs={"layer": layer})
        return self._space.add_lwpolyline(vertices, format="xyb", close=close, dxfattribs={"layer": layer})


def _corners(points: Sequence[Point]) -> tuple[Point, Point]:
    """Two corners of the box round points."""
    x, y = zip(*points, strict=True)
    return (min(x), min(y)), (max(x), max(y))


def open_or_closed(stroke: Sequence[Point]) -> tuple[list[Point], bool]:
    """A stroke without repeated points, and whether it closes on itself (its end is then left out)."""
    points = [p for i, p in enumerate(stroke) if i == 0 or p != stroke[i - 1]]
    if len(points) > 3 and points[0] == points[-1]:
        return points[:-1], True
    return points, False


@contextmanager
def drawing(path: Path, version: str, units: Units, layers: Mapping[str, int]) -> Iterator[Pen]:
    """A pen on a new drawing, which is written to `path` at the end; the same drawing gives the same bytes.

    Args:
        path: file to write.
        version: `R12` to `R2018`.
        units: drawing units, mm or in.
        layers: layer names and index colours, in order.
    """
    with fixed_document(version, units) as document:
        document.appids.new(APPLICATION)
        for name, colour in layers.items():
            if name == "0":
                document.layers.get("0").color = colour
            else:
                document.layers.new(name, dxfattribs={"color": colour})
        reach: list[Point] = []
        yield Pen(document, units, reach)
        path.write_bytes(content_of(document, reach))


@contextmanager
def fixed_document(version: str, units: Units) -> Iterator[Drawing]:
    """A new document, without dates and random identifiers as long as the context lasts: write it inside.

    Args:
        version: `R12` to `R2018`.
        units: drawing units, mm or in.
    """
    load_ezdxf()
    from ezdxf._options import options
    from ezdxf.document import Drawing

    fixed = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True  # of dates and random identifiers
    try:
        document = Drawing.new(version)
        if version != "R12":  # which has no word for its units: there the sheet notes say them
            document.header["$INSUNITS"] = 1 if units == "in" else 4
            document.header["$MEASUREMENT"] = 0 if units == "in" else 1
        document.header["$LUNITS"] = 2
        yield document
    finally:
        options.write_fixed_meta_data_for_testing = fixed


def content_of(document: Drawing, reach: Sequence[Point]) -> bytes:
    """The file's bytes, its extents and its view set to all that is drawn.

    Args:
        document: from `fixed_document`.
        reach: points, in drawing units, between which all lies that is drawn.
    """
    (x0, y0), (x1, y1) = _corners(reach)
    document.header["$EXTMIN"] = (x0, y0, 0.0)
    document.header["$EXTMAX"] = (x1, y1, 0.0)
    document.set_modelspace_vport(1.1 * max(x1 - x0, y1 - y0), ((x0 + x1) / 2, (y0 + y1) / 2))
    for dxf_type in sorted(document.entitydb.dxf_types_in_use()):
        document.classes.add_class(dxf_type)  # else they are written in the order of a hash
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode(document.output_encoding, errors="dxfreplace")
