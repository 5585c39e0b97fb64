"""Stage `reports`: the sizes of the form on its front view: widths below, heights on the left.

In: a view of a form. Out: dimensions on it. Their extension lines leave the form downward, upward or to the left and
never run inside the part nor along an edge.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from formgen.drafting.dimension import GAP_MM, LEVEL_MM
from formgen.drafting.linear import linear
from formgen.drafting.view import View
from formgen.geometry.distance import distances_mm
from formgen.geometry.outline import Point
from formgen.reports.drawing.shapes import cut_line
from formgen.reports.drawing.subject import Subject

#: From what is drawn to the first dimension line, less a level (mm on paper).
OFF_MM = 4.0
#: An extension line that stays so near an edge for so long cannot be told from it (mm on paper).
CLOSE_MM, LONG_MM = 0.8, 5.0
#: How far a springing or trim line reaches into the form and past the part, and a centre line past both (mm on paper).
INTO_MM, PAST_MM = 8.0, 3.0
#: Heights that differ by less are one (mm).
SAME_MM = 0.5


def widths(view: View, subject: Subject) -> None:
    """Over the face at the springing or trim lines, where lines lead out from there, else at its ends; and over all."""
    down = view.at((0.0, subject.reach[1]))[1] - OFF_MM
    face = subject.form.face
    ends = ((face.start.x_mm, face.start.y_mm), (face.end.x_mm, face.end.y_mm))
    over = [pair for pair in (subject.face_ends, ends) if _leads_out(view, subject, pair, -1.0)][:1]
    for right, left in over:
        linear(view, left, right, down - LEVEL_MM, along="x")
    pair = subject.extremes["right"], subject.extremes["left"]
    known = over[0][0][0] - over[0][1][0] if over else 0.0
    if pair[0][0] - pair[1][0] <= 1.001 * known:
        return
    up = view.at((0.0, subject.reach[3]))[1] + OFF_MM
    for level, sign in ((down - 2 * LEVEL_MM, -1.0), (up + LEVEL_MM, 1.0)):
        if _leads_out(view, subject, pair, sign):
            linear(view, pair[1], pair[0], level, along="x")
            return


def _leads_out(view: View, subject: Subject, pair: tuple[Point, Point], sign: float) -> bool:
    """Tell whether upright lines lead from both points out of the view, below (-1) or above (1)."""
    far = subject.reach[1] - 2 * LEVEL_MM / view.scale if sign < 0 else subject.reach[3] + LEVEL_MM / view.scale
    return all(_is_clear(view, subject, point, far, sign) for point in pair)


def _is_clear(view: View, subject: Subject, point: Point, far: float, sign: float) -> bool:
    x, begin = point[0], point[1] + sign * GAP_MM / view.scale
    length = sign * (far - begin)
    crossed = (o for o in (subject.blank_strip, *(o.outline for o in subject.reliefs)) if o.bounds[0] < x < o.bounds[2])
    if any(b > 0.0 and a < length for o in crossed for a, b in o.chords((x, begin), 0.0, sign)):
        return False
    if any(
        abs(h.centre[0] - x) < h.diameter_mm / 2 + 1.0 / view.scale and sign * (h.centre[1] - begin) > 0.0
        for h in subject.dowels
    ):
        return False
    apart = 1.0 / view.scale
    ys = np.arange(begin, far, sign * apart)
    points = np.column_stack([np.full(len(ys), x), ys])
    edges = [*subject.whole.edges, *subject.blank_strip.edges]
    return int((distances_mm(points, edges) * view.scale < CLOSE_MM).sum()) < LONG_MM


def heights(view: View, subject: Subject) -> None:
    """From the form's lowest point to the springing line, the face's crown and its highest point; and the bar."""
    level = view.at((subject.reach[0], 0.0))[0] - OFF_MM
    tips = [(tip, name) for _, tip, name in guides(view, subject)]

    def clear(point: Point) -> tuple[Point, bool]:
        return _to_the_left(view, subject, point, tips)

    low = subject.extremes["low"]
    if subject.form.bar is not None:
        height = subject.form.bar.touch.height_mm
        bar = (subject.reach[0] - PAST_MM / view.scale, height)
        linear(view, low, bar, level - LEVEL_MM, along="y", clear=clear)
        level -= LEVEL_MM
    springing = subject.on_face(subject.laminate.springing_mm[1])
    kept = [low]
    for stop in sorted((springing, subject.extremes["crown"], subject.extremes["top"]), key=lambda point: point[1]):
        if stop[1] - kept[-1][1] > SAME_MM:
            kept.append(stop)
    for a, b in pairwise(kept):
        linear(view, a, b, level - LEVEL_MM, along="y", clear=clear)
    if len(kept) > 2:
        whole = (low, kept[-1])
        linear(view, *whole, level - 2 * LEVEL_MM, along="y", clear=clear)


def _to_the_left(view: View, subject: Subject, point: Point, tips: list[tuple[Point, str]]) -> tuple[Point, bool]:
    """Find where a level line to the left is past form, part and guide lines; the point is marked if that is far."""
    out, inside = subject.way_out(point, -1.0, 0.0)
    for tip, name in tips:
        if abs(tip[1] - point[1]) * view.scale < 1.5 and tip[0] < out[0]:
            out = (tip[0], point[1])
            inside &= name != "springing"
    return out, inside and (point[0] - out[0]) * view.scale > 1.0


def guides(view: View, subject: Subject) -> Iterator[tuple[Point, Point, str]]:
    """Springing and trim lines: their end in the form, their end beyond the part, their name."""
    half = subject.laminate.thickness_mm / 2
    into = min([INTO_MM, *(max(2.0, room * view.scale - 1.0) for room in subject.relief_setback_mm)])
    inside, outside = abs(subject.pressing.face_offset_mm) + into / view.scale, half + PAST_MM / view.scale
    for station, lean, name in subject.crossings():
        pose = subject.laminate.pressed.pose(station)
        if subject.male:
            a, b = cut_line(pose, lean, inside, outside)
        else:
            b, a = cut_line(pose, lean, outside, inside)
        yield a, b, name
