"""Stage `outputs`: a label's strokes as polylines of a DXF document, written all at once.

In: strokes in drawing units. Out: an entity of the library that writes itself as a polyline for each stroke. Labels are
nine tenths of all that is drawn on a layer; as an entity each, their strokes took most of the time of a build.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ezdxf.entities.lwpolyline import LWPolyline

from formgen.geometry.outline import Point

if TYPE_CHECKING:
    from ezdxf.layouts.layout import Modelspace
    from ezdxf.lldxf.tagwriter import AbstractTagWriter

#: A stroke: its points, and whether it closes on itself.
Stroke = tuple[Sequence[Point], bool]


class Strokes(LWPolyline):
    """Polylines of one label on one layer; the first has the label's text as extended data."""

    text = ""
    application = ""
    handles: Sequence[str] = ()
    strokes: Sequence[Stroke] = ()

    def export_dxf(self, tagwriter: AbstractTagWriter) -> None:
        """Write each stroke as the library writes a polyline without width, elevation and arcs."""
        owner, layer = self.dxf.owner, self.dxf.layer
        label = f"1001\n{self.application}\n1000\n{self.text}\n"
        for handle, (points, close) in zip(self.handles, self.strokes, strict=True):
            where = "".join([f" 10\n{x}\n 20\n{y}\n" for x, y in points])
            tagwriter.write_str(
                f"  0\nLWPOLYLINE\n  5\n{handle}\n330\n{owner}\n100\nAcDbEntity\n  8\n{layer}\n"
                f"100\nAcDbPolyline\n 90\n{len(points)}\n 70\n{int(close)}\n{where}{label}"
            )
            label = ""


def add_strokes(space: Modelspace, strokes: Sequence[Stroke], layer: str, text: str, application: str) -> None:
    """Add a label's strokes, each with a handle of its own.

    Args:
        space: where they are drawn; a document later than R12.
        strokes: at least one, in drawing units, each of two points or more.
        layer: name of the drawing layer.
        text: what the label says.
        application: owner of the extended data in which the text is kept; the document knows it.
    """
    entity = Strokes.new(dxfattribs={"layer": layer}, doc=space.doc)
    space.add_entity(entity)
    further = [space.doc.entitydb.next_handle() for _ in strokes[1:]]
    entity.text, entity.application, entity.strokes = text, application, strokes
    entity.handles = [str(entity.dxf.handle), *further]
