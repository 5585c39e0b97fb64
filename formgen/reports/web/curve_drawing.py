"""Stage `reports`: the curve as a drawing: finished, in the press, the form's face, and one foot made larger.

In: a Form. Out: an SVG figure. The finished curve is laid on the pressed one at the middle of the part. What it
opens by is often no more than a line's width: a ring shows the part's right end `TIMES` as large, with two sizes. The
curve of a form that several openings share is drawn small, all parts laid on one another by their middles.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from formgen.amounts import tied
from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.outline import Outline, Point
from formgen.geometry.pose import Pose
from formgen.holding.model import Holding
from formgen.lengths import write_length, write_measured
from formgen.outputs.svg import Svg, tag, text
from formgen.press.setup import Pressing
from formgen.reports.drawing.shapes import around, strip
from formgen.reports.rows.decisions import radius_text
from formgen.reports.web.drawing import Frame, curve_path, outline_path, path
from formgen.reports.web.ring import RADIUS, TIMES, Ring, Size, arrows, ring_place

#: White round the drawing, and the height of a dimension with its letters, in units of the frame.
MARGIN, LINE = 30.0, 66.0
#: How far in from the part's end the ring's middle lies, as a share of what it shows.
INTO = 0.4
#: Name of the group that is drawn once as it is and once in the ring.
_DRAWN = "curve-drawn"
#: Stands for the ring in the legend.
_RING = tag("g", tag("circle", cx="20", cy="5", r="4.5"), class_="ring")


@fixed
class Curves:
    """The curves of a form, laid on one another in the form's axes.

    Args:
        finished, pressed, face: centre line after release and in the press, the form's face.
        body: outline of the form.
        part: the part in the press.
        middle_mm: station at which they touch.
    """

    finished: ArcSpline
    pressed: ArcSpline
    face: ArcSpline
    body: Outline
    part: Outline
    middle_mm: float


def curves_of(form: Holding) -> Curves:
    """The curves to draw."""
    laminate = form.laminate
    pressed, middle = laminate.pressed, laminate.pressed.length_mm / 2.0
    return Curves(
        finished=laminate.arch.target.held_at(middle, pressed.pose(middle)),
        pressed=pressed,
        face=form.face,
        body=form.layers[0].outline,
        part=strip(pressed, laminate.thickness_mm),
        middle_mm=middle,
    )


def curve_figure(form: Holding) -> tuple[Svg, list[tuple[Svg, str]]]:
    """The figure, and its legend: a sample of each line, and what it is."""
    curves = curves_of(form)
    laminate, units = form.laminate, form.recipe.units
    said = {
        "finished": f"finished: the centre line after release, {radius_text(laminate.arch.target, units)}",
        "pressed": f"in the press: the same line while the glue sets, {radius_text(laminate.pressed, units)}",
        "face": f"form face: what the router cuts, {radius_text(form.pressing.face, units)}",
    }
    drawing, sizes = _svg(form, curves, "; ".join(said.values()))
    legend = [(_sample(path(name, "M1 5H39")), line) for name, line in said.items()]
    legend.append((_sample(_RING), f"one end, {TIMES:.0f} times as large"))
    return drawing, [*legend, *((tag("b", size.letter, class_="sample"), size.said) for size in sizes)]


def _sample(line: Svg) -> Svg:
    """A short stretch of a line."""
    return tag("svg", line, class_="plan sample", viewBox="0 0 40 10", aria_hidden="true")


def _svg(form: Holding, curves: Curves, said: str) -> tuple[Svg, list[Size]]:
    """The drawing, and what its ring measures."""
    finished = [(x, y, x, y) for x, y in curves.finished.sampled(1.0)]
    bounds = around([curves.body.bounds, curves.part.bounds, *finished])
    frame = Frame.round(bounds, (MARGIN, MARGIN, MARGIN, MARGIN))
    lines = {"face": curves.face, "pressed": curves.pressed, "finished": curves.finished}
    drawn = [[frame.at(p) for p in curve.sampled(2.0)] for curve in lines.values()]
    drawn += [[frame.at(p) for p in closed.flattened(2.0)] for closed in (curves.body, curves.part)]
    sizes = list(_sizes(form, curves, frame))
    inward = INTO * RADIUS / TIMES / frame.scale
    near, later = (frame.at(_at(curve.pose(inward))) for curve in (curves.pressed, curves.finished))
    shown = math.dist(near, later) < RADIUS / TIMES  # where they lie far apart the ring is on the one in the press
    ring = Ring(of=_middle(near, later) if shown else near, at=ring_place(drawn, frame.high))
    high, spans = max(frame.high, ring.bottom), list(_spans(form, curves))
    across = [
        _dimension(frame.at(a), frame.at(b), high + LINE * i, said) for i, (a, b, said) in enumerate(spans, start=1)
    ]
    paths = [path("body", outline_path(curves.body)), path("part", outline_path(curves.part))]
    paths += [path(name, curve_path(curve)) for name, curve in lines.items()]
    whole = Frame(frame.scale, frame.left, frame.top, high + LINE * len(spans) + (MARGIN if spans else 0.0))
    return whole.plan(f"The curve. {said}", paths, *across, *ring.picture(_DRAWN, sizes), drawn=_DRAWN), sizes


def _sizes(form: Holding, curves: Curves, frame: Frame) -> Iterator[Size]:
    """List what the ring measures: the end's way at release, and the centre line's distance from the form."""
    units = form.recipe.units
    pressed, finished = _at(curves.pressed.start), _at(curves.finished.start)
    said = f"the end moves {write_measured(math.dist(pressed, finished), units)} at release"
    yield Size(letter="a", said=said, begin=frame.at(pressed), end=frame.at(finished))
    here = curves.pressed.pose(2.0 * INTO * RADIUS / TIMES / frame.scale)
    station, gap = curves.face.nearest(*_at(here))
    there = _at(curves.face.pose(station))
    said = f"{write_measured(abs(gap), units)} from the form's face to the centre line"
    yield Size(letter="b", said=said, begin=frame.at(_at(here)), end=frame.at(there))


def _spans(form: Holding, curves: Curves) -> Iterator[tuple[Point, Point, str]]:
    """Both distances between springing points, where the part has two: left, right, and what is said."""
    if not form.arch.two_legged:
        return
    for curve, what in ((curves.pressed, "in the press"), (curves.finished, "finished")):
        right, left = (_at(curve.pose(s)) for s in form.laminate.springing_mm)
        yield left, right, f"{write_length(math.dist(left, right), form.recipe.units)} wide {what}"


def _dimension(a: Point, b: Point, y: float, said: str) -> Svg:
    """A dimension line at height y, with its two thin lines down from the points."""
    down = "".join(f"M{x:.1f} {top + 8:.1f}V{y + 8:.1f}" for x, top in (a, b))
    line = arrows((a[0], y), (b[0], y))
    return tag("g", path("", down), line, text((a[0] + b[0]) / 2, y - 10, tied(said), None), class_="dimension")


def _at(pose: Pose) -> Point:
    return pose.x_mm, pose.y_mm


def _middle(a: Point, b: Point) -> Point:
    return (a[0] + b[0]) / 2, (a[1] + b[1]) / 2


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
