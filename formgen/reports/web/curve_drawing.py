"""Stage `reports`: the curve as a drawing: finished, in the press, the form's face, and the spring-back made visible.

In: a Form. Out: an SVG figure. The finished curve is laid on the pressed one at the middle of the part. What
spring-back opens is drawn once as it is, and once enlarged by a stated whole factor: true to scale it is often no more
than a line's width. The curve
of a form that several openings share is drawn small, all parts laid on one another by their middles.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from formgen.amounts import tied
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.outline import Outline, Point
from formgen.geometry.pose import Pose
from formgen.holding.model import Holding
from formgen.lengths import write_length
from formgen.outputs.svg import Svg, tag, text
from formgen.press.setup import Pressing
from formgen.reports.drawing.shapes import around, strip
from formgen.reports.rows.decisions import radius_text
from formgen.reports.web.drawing import Frame, curve_path, outline_path, path

#: Factors by which spring-back is enlarged; the greatest is taken that keeps the ends within `ROOM` of the drawing.
FACTORS = (50, 20, 10, 5, 2)
ROOM = 0.12


@dataclass(frozen=True)
class Curves:
    """The curves of a form, laid on one another in the form's axes.

    Args:
        finished, pressed, face: centre line after release and in the press, the form's face.
        enlarged: the centre line with its spring-back enlarged; None where it is plain to see as it is.
        factor: by how much.
        part: the part in the press.
        middle_mm: station at which they touch.
    """

    finished: ArcSpline
    pressed: ArcSpline
    face: ArcSpline
    enlarged: ArcSpline | None
    factor: int
    part: Outline
    middle_mm: float


def curves_of(form: Holding) -> Curves:
    """The curves to draw."""
    laminate = form.laminate
    pressed, middle = laminate.pressed, laminate.pressed.length_mm / 2.0

    def laid(curve: ArcSpline) -> ArcSpline:
        return curve.held_at(middle, pressed.pose(middle))

    finished = laid(laminate.arch.target)
    x0, y0, x1, y1 = form.layers[0].outline.bounds
    room = ROOM * max(x1 - x0, y1 - y0)
    factor, enlarged = 1, None
    for trial in FACTORS:
        left_over = 1.0 - trial * laminate.spring_back
        if left_over > 0.0:
            curve = laid(pressed.scaled_curvature(left_over))
            if max(_apart(curve.start, pressed.start), _apart(curve.end, pressed.end)) <= room:
                factor, enlarged = trial, curve
                break
    part = strip(pressed, laminate.thickness_mm)
    return Curves(finished, pressed, form.face, enlarged, factor, part, middle)


def curve_figure(form: Holding) -> tuple[Svg, list[tuple[Svg, str]]]:
    """The figure, and its legend: a sample of each line, and what it is."""
    curves = curves_of(form)
    laminate, units = form.laminate, form.recipe.units
    sample = ["finished", "pressed", "face"]
    said = [
        f"finished: the centre line after release, {radius_text(laminate.arch.target, units)}",
        f"in the press: the same line while the glue sets, {radius_text(laminate.pressed, units)}",
        f"form face: what the router cuts, {radius_text(form.pressing.face, units)}",
    ]
    if curves.enlarged is not None:
        sample.append("enlarged")
        said.append(f"spring-back of {100 * laminate.spring_back:.2f} % drawn {curves.factor} times as large as it is")
    return _svg(form, curves, said), list(zip(map(_sample, sample), said, strict=True))


def _sample(name: str) -> Svg:
    """A short stretch of a line."""
    return tag("svg", path(name, "M1 5H39"), class_="plan sample", viewBox="0 0 40 10", aria_hidden="true")


def _svg(form: Holding, curves: Curves, said: list[str]) -> Svg:
    body = form.layers[0].outline
    frame = Frame.round(_bounds(body, curves), (30.0, 30.0, 30.0, 150.0 if form.arch.two_legged else 30.0))
    lines = [("face", curves.face), ("pressed", curves.pressed), ("finished", curves.finished)]
    if curves.enlarged is not None:
        lines.append(("enlarged", curves.enlarged))
    paths = [path("body", outline_path(body)), path("part", outline_path(curves.part))]
    paths += [path(name, curve_path(curve)) for name, curve in lines]
    return frame.plan(f"The curve. {'; '.join(said)}", paths, *_dimensions(form, curves, frame))


def _bounds(body: Outline, curves: Curves) -> tuple[float, float, float, float]:
    drawn = [curve for curve in (curves.finished, curves.enlarged) if curve is not None]
    points = [(x, y, x, y) for curve in drawn for x, y in curve.sampled(1.0)]
    return around([body.bounds, curves.part.bounds, *points])


def _dimensions(form: Holding, curves: Curves, frame: Frame) -> Iterator[Svg]:
    """Both distances between springing points, one below the other, where the part has two."""
    if not form.arch.two_legged:
        return
    laminate, units = form.laminate, form.recipe.units
    for i, (curve, what) in enumerate(((curves.pressed, "in the press"), (curves.finished, "finished"))):
        right, left = (curve.pose(s) for s in laminate.springing_mm)
        a, b = frame.at((left.x_mm, left.y_mm)), frame.at((right.x_mm, right.y_mm))
        size = write_length(math.dist((left.x_mm, left.y_mm), (right.x_mm, right.y_mm)), units)
        yield _dimension(a, b, frame.high - 90.0 + 70.0 * i, f"{size} {what}")


def _dimension(a: Point, b: Point, y: float, said: str) -> Svg:
    """A dimension line at height y with its two thin lines down from the points, and strokes across its ends."""
    down = "".join(f"M{x:.1f} {top + 4:.1f}V{y + 6:.1f}" for x, top in (a, b))
    ticks = "".join(f"M{x - 5:.1f} {y + 5:.1f}l10-10" for x, _ in (a, b))
    line = tag("path", d=f"{down}M{a[0]:.1f} {y:.1f}H{b[0]:.1f}{ticks}")
    return tag("g", line, text((a[0] + b[0]) / 2, y - 8, tied(said), None), class_="dimension")


def _apart(a: Pose, b: Pose) -> float:
    return math.dist((a.x_mm, a.y_mm), (b.x_mm, b.y_mm))


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
