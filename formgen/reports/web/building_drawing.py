"""Stage `reports`: a shared form's face with every part that comes off it, as a small drawing.

In: the pressings of the parts on one form. Out: an SVG, all parts laid on one another by their middles.
"""

from __future__ import annotations

from collections.abc import Sequence

from formgen.outputs.svg import Svg
from formgen.press.setup import Pressing
from formgen.reports.drawing.shapes import around, strip
from formgen.reports.web.drawing import Frame, curve_path, outline_path, path


def shared_figure(name: str, pressings: Sequence[Pressing]) -> Svg:
    """The drawing: parts in the press, and the longest face under them.

    Args:
        name: of the form.
        pressings: of the parts, each as it is pressed on this form.
    """
    longest = max(pressings, key=lambda pressing: pressing.face.length_mm)
    curve = longest.laminate.pressed
    middle = curve.pose(curve.length_mm / 2.0)
    outlines = []
    for pressing in pressings:
        own = pressing.laminate.pressed
        here = own.pose(own.length_mm / 2.0)
        part = strip(own, pressing.laminate.thickness_mm)
        outlines.append(part.moved(middle.x_mm - here.x_mm, middle.y_mm - here.y_mm))
    face = [(x, y, x, y) for x, y in longest.face.sampled(1.0)]
    frame = Frame.round(around([*(outline.bounds for outline in outlines), *face]), (30.0, 30.0, 30.0, 30.0))
    parts = [path("part lined", outline_path(outline)) for outline in outlines]
    said = f"The face of {name} with {len(pressings)} parts on it"
    return frame.plan(said, [*parts, path("face", curve_path(longest.face))], name="plan small")
