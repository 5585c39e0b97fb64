"""Stage `exports`: what a drawing holds, in mm, whether it is read from a DXF file or expected from the model.

In: a DXF file, or shapes. Out: `Drawn` shapes that can be compared one by one. Only what formgen draws is known;
anything else in a file is reported as it is.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from formgen.curve.circle import whole_circle
from formgen.curve.outline import Outline, Point, Vertex
from formgen.errors import CurveError
from formgen.exports.dxf_names import MM_PER_INCH
from formgen.exports.dxf_pen import APPLICATION

if TYPE_CHECKING:
    from ezdxf.entities.dxfgfx import DXFGraphic

Kind = Literal["closed outline", "open line", "circle", "text", "other"]


@dataclass(frozen=True, kw_only=True)
class Drawn:
    """One entity.

    Args:
        kind: what it is.
        layer: its drawing layer, upper case (the format does not tell the cases apart).
        vertices: (x mm, y mm, bulge); a circle's centre; a text's origin.
        size_mm: a circle's diameter, a text's height, else 0.
        text: of a text, or of the label that a stroke begins.
        what: the piece and feature that it stands for, or the format's name of the entity.
    """

    kind: Kind
    layer: str
    vertices: tuple[Vertex, ...]
    size_mm: float = 0.0
    text: str = ""
    what: str = ""

    @property
    def bounds_mm(self) -> tuple[float, float, float, float]:
        """Bounds of the vertices (of a circle: of the circle); bulges may reach beyond."""
        r = self.size_mm / 2 if self.kind == "circle" else 0.0
        xs, ys = [v[0] for v in self.vertices], [v[1] for v in self.vertices]
        return min(xs) - r, min(ys) - r, max(xs) + r, max(ys) + r

    @property
    def outline(self) -> Outline | None:
        """The closed outline; None for anything else, and for one without area."""
        if self.kind != "closed outline":
            return None
        try:
            return Outline.tidy(self.vertices)
        except CurveError:
            return None


def shape(outline: Outline, layer: str, what: str, dx_mm: float = 0.0) -> Drawn:
    """A closed outline as it is expected in a drawing."""
    circle = whole_circle(outline)
    if circle:
        return round_hole(circle[0], 2 * circle[1], layer, what, dx_mm)
    vertices = tuple((x + dx_mm, y, b) for x, y, b in outline.vertices)
    return Drawn(kind="closed outline", layer=layer.upper(), vertices=vertices, what=what)


def round_hole(centre: Point, diameter_mm: float, layer: str, what: str, dx_mm: float = 0.0) -> Drawn:
    """A circle as it is expected in a drawing."""
    at = (centre[0] + dx_mm, centre[1], 0.0)
    return Drawn(kind="circle", layer=layer.upper(), vertices=(at,), size_mm=diameter_mm, what=what)


def open_line(points: Sequence[Point], layer: str, what: str, dx_mm: float = 0.0, text: str = "") -> Drawn:
    """A line or an open polyline as it is expected in a drawing."""
    vertices = tuple((x + dx_mm, y, 0.0) for x, y in points)
    return Drawn(kind="open line", layer=layer.upper(), vertices=vertices, what=what, text=text)


def read_drawing(path: Path, *, in_inches: bool) -> tuple[list[Drawn], str, bool | None]:
    """What a DXF file holds, its version, and whether it says that its units are inches (None: it does not say).

    Args:
        path: the file.
        in_inches: the units to take its numbers in.

    Raises:
        ValueError: the file is not a DXF file that can be read.
    """
    from ezdxf.filemanagement import readfile
    from ezdxf.lldxf.const import DXFError

    try:
        document = readfile(path)
    except (DXFError, OSError, UnicodeError) as err:
        raise ValueError(str(err)) from err
    mm_per_unit = MM_PER_INCH if in_inches else 1.0
    stated = document.header.get("$INSUNITS")
    found = [_drawn(entity, mm_per_unit) for entity in document.modelspace()]
    return found, document.acad_release, {1: True, 4: False}.get(stated)


def _drawn(entity: DXFGraphic, mm: float) -> Drawn:
    layer, kind = entity.dxf.layer.upper(), entity.dxftype()
    if kind == "CIRCLE":
        centre = entity.dxf.center
        at = (centre.x * mm, centre.y * mm, 0.0)
        return Drawn(kind="circle", layer=layer, vertices=(at,), size_mm=2 * entity.dxf.radius * mm, what=kind)
    if kind == "LINE":
        ends = tuple((p.x * mm, p.y * mm, 0.0) for p in (entity.dxf.start, entity.dxf.end))
        return Drawn(kind="open line", layer=layer, vertices=ends, what=kind)
    if kind == "TEXT":
        at = (entity.dxf.insert.x * mm, entity.dxf.insert.y * mm, 0.0)
        height_mm = entity.dxf.height * mm
        return Drawn(kind="text", layer=layer, vertices=(at,), size_mm=height_mm, text=entity.dxf.text, what=kind)
    if kind in ("LWPOLYLINE", "POLYLINE"):
        raw = _vertices(entity)
        vertices = tuple((x * mm, y * mm, bulge) for x, y, bulge in raw)
        closed = bool(entity.closed if kind == "LWPOLYLINE" else entity.is_closed)  # type: ignore[attr-defined]
        return Drawn(kind="closed outline" if closed else "open line", layer=layer, vertices=vertices,
                     text=_label_text(entity), what=kind)
    return Drawn(kind="other", layer=layer, vertices=((math.nan, math.nan, 0.0),), what=kind)


def _vertices(entity: DXFGraphic) -> list[Vertex]:
    if entity.dxftype() == "LWPOLYLINE":
        return [(float(x), float(y), float(b)) for x, y, b in entity.get_points("xyb")]  # type: ignore[attr-defined]
    vertices = entity.vertices  # type: ignore[attr-defined]
    return [(v.dxf.location.x, v.dxf.location.y, float(v.dxf.get("bulge", 0.0))) for v in vertices]


def _label_text(entity: DXFGraphic) -> str:
    if not entity.has_xdata(APPLICATION):
        return ""
    return "".join(tag.value for tag in entity.get_xdata(APPLICATION) if tag.code == 1000)
