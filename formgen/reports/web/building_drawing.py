"""Stage `reports`: a shared form's face with every part that comes off it, as a small drawing.

In: the pressings of the parts on one form. Out: an SVG, all parts laid on one another by their middles.
"""

from __future__ import annotations

from collections.abc import Sequence

from formgen.outputs.svg import Svg
from formgen.press.setup import Pressing
from formgen.reports.web.drawing import Frame, curve_path, outline_path, path
from formgen.reports.web.solid_model import part_outline


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
        outlines.append(part_outline(pressing.laminate).moved(middle.x_mm - here.x_mm, middle.y_mm - here.y_mm))
    boxes = [outline.bounds for outline in outlines]
    faces = longest.face.sampled(1.0)
    bounds = (
        min(*(box[0] for box in boxes), float(faces[:, 0].min())),
        min(*(box[1] for box in boxes), float(faces[:, 1].min())),
        max(*(box[2] for box in boxes), float(faces[:, 0].max())),
        max(*(box[3] for box in boxes), float(faces[:, 1].max())),
    )
    frame = Frame.round(bounds, (30.0, 30.0, 30.0, 30.0))
    parts = [path("part lined", outline_path(outline)) for outline in outlines]
    said = f"The face of {name} with {len(pressings)} parts on it"
    return frame.plan(said, [*parts, path("face", curve_path(longest.face))], name="plan small")
