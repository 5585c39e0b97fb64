"""Stage `reports`: the end view of the form beside its front view: the layers, what is cut away, where the part lies.

In: a Form and the front view. Out: more ink on the same paper. In third-angle projection the form is seen from the
right and in first-angle from the left, so that this view stands to the right of the front view either way.

Assumptions: the part lies at the middle of the stack's depth, as the bar's seat is laid out.
"""

from __future__ import annotations

from formgen.curve.outline import Outline, Point
from formgen.exports.ink import ADJACENT, EDGE, Words
from formgen.form.model import Form, Layer
from formgen.reports.drawing.dimension import LEVEL_MM, linear, note
from formgen.reports.drawing.front import whole
from formgen.reports.drawing.numbers import size
from formgen.reports.drawing.shapes import blank, strip
from formgen.reports.drawing.view import View

#: White between the two views (mm on paper).
BETWEEN_MM = 14.0
#: Numbers of layers stand in a row where a layer is as wide as this on paper.
LEAST_WIDE_MM = 3.4
#: A corner turns by more than this (sine).
LEAST_BEND = 0.02


def end_view(form: Form, front: View, *, third_angle: bool) -> View:
    """The view, to the right of all that is drawn."""
    depth = form.depth_mm
    left = front.reach[2] + BETWEEN_MM
    view = front.beside((left + (depth * front.scale if third_angle else 0.0), front.origin[1]))
    toward = -1.0 if third_angle else 1.0
    for layer in form.layers:
        _layer(view, layer, toward, from_right=third_angle)
    _part(view, form, toward)
    _sizes(view, form, toward)
    view.settle()
    _numbers(view, form, toward)
    return view


def _layer(view: View, layer: Layer, toward: float, *, from_right: bool) -> None:
    """A layer from its edge: as high as it is, with a line for each corner that shows."""
    _, y0, _, y1 = layer.outline.bounds
    z0, z1 = toward * layer.front_mm, toward * (layer.front_mm + layer.thickness_mm)
    view.line(EDGE, (z0, y0), (z1, y0), (z1, y1), (z0, y1), (z0, y0))
    for y in corners_seen(layer.outline, from_right=from_right):
        if y0 + 0.01 < y < y1 - 0.01:
            view.line(EDGE, (z0, y), (z1, y))


def corners_seen(outline: Outline, *, from_right: bool) -> list[float]:
    """Heights of the corners that stand in front of all else at their height, seen along the span."""
    found = []
    sign = 1.0 if from_right else -1.0
    edges = outline.edges
    for before, after in zip((edges[-1], *edges), edges, strict=False):
        x, y = after.a
        if abs(_bend(before.at(0.999), after.a, after.at(0.001))) < LEAST_BEND:
            continue
        chords = [chord for shift in (-0.01, 0.01) for chord in outline.chords((0.0, y + shift), 1.0, 0.0)]
        if all(sign * end <= sign * x + 0.05 for chord in chords for end in chord):
            found.append(y)
    return sorted(set(found))


def _bend(a: Point, b: Point, c: Point) -> float:
    """Sine of the corner at b."""
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], c[0] - b[0], c[1] - b[1]
    return float((ux * vy - uy * vx) / ((ux**2 + uy**2) ** 0.5 * (vx**2 + vy**2) ** 0.5))


def part_z(form: Form) -> tuple[float, float]:
    """Where the finished part lies across the stack (mm from its front face)."""
    depth, part = form.depth_mm, form.pressing.laminate.arch.recipe.asked.part.depth_mm
    return (depth - part) / 2, (depth + part) / 2


def _part(view: View, form: Form, toward: float) -> None:
    _, y0, _, y1 = strip(blank(form), form.pressing.laminate.thickness_mm).bounds
    z0, z1 = (toward * z for z in part_z(form))
    view.line(ADJACENT, (z0, y0), (z1, y0), (z1, y1), (z0, y1), (z0, y0))


def _sizes(view: View, form: Form, toward: float) -> None:
    top = view.at((0.0, max(strip(blank(form), 1.0).bounds[3], whole(form).bounds[3])))[1] + 3.0
    _, y0, _, y1 = whole(form).bounds
    z0, z1 = (toward * z for z in part_z(form))
    part_top = strip(blank(form), form.pressing.laminate.thickness_mm).bounds[3]
    text = size(form.pressing.laminate.arch.recipe.asked.part.depth_mm, view.units)
    linear(view, (z0, part_top), (z1, part_top), top + LEVEL_MM - 1.0, text, along="x")
    depth = toward * form.depth_mm
    linear(view, (0.0, y1), (depth, y1), top + 2 * LEVEL_MM, size(form.depth_mm, view.units), along="x")
    held = [layer for layer in form.layers if layer.bar_seat]
    if held:  # what is cut away on a male form, the notch on a female one
        z0, z1 = toward * held[0].front_mm, toward * (held[-1].front_mm + held[-1].thickness_mm)
        y = held[0].outline.bounds[1] if form.pressing.side == "male" else y0
        low = view.at((0.0, y0))[1] - 4.0 - LEVEL_MM
        linear(view, (z0, y), (z1, y), low, size(abs(z1 - z0), view.units), along="x")


def _numbers(view: View, form: Form, toward: float) -> None:
    """The first and last layer by name; all by number in a row below, where they find room."""
    layers = form.layers
    y = view.at((0.0, whole(form).bounds[1]))[1] - 3.2
    if layers[0].thickness_mm * view.scale >= LEAST_WIDE_MM:
        for layer in layers:
            x = view.at((toward * (layer.front_mm + layer.thickness_mm / 2), 0.0))[0]
            view.paper.put_first_free([(Words(text=str(layer.number), at=(x, y), height_mm=1.8, anchor="middle"), ())])
    up, down = (0.5, -0.5, 0.8, -0.8, 0.2, 1.1, -1.1), (2.64, -2.64, 2.3, -2.3, 2.9, 2.0, -2.0)
    right, left = (layers[0], layers[-1]) if toward < 0 else (layers[-1], layers[0])
    for layer, angles in ((right, up), (left, down)):
        _, y0, _, y1 = layer.outline.bounds
        text = f"layer {layer.number}, labelled side" if layer is layers[-1] else f"layer {layer.number}"
        tip = (toward * (layer.front_mm + layer.thickness_mm / 2), y0 + 0.45 * (y1 - y0))
        note(view, tip, text, angles_rad=angles)
    for layer in layers:
        if layer.channel:
            _, y0, _, y1 = layer.outline.bounds
            z = toward * (layer.front_mm + layer.thickness_mm / 2)
            note(view, (z, y0 + 0.8 * (y1 - y0)), "channel", angles_rad=(*up, *down))
