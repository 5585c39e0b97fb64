"""Stage `reports`: the end view of the form beside its front view: the layers, what is cut away, where the part lies.

In: a Form and the front view. Out: more ink on the same paper. In third-angle projection the form is seen from the
right and in first-angle from the left, so that this view stands to the right of the front view either way.

Assumptions: the part lies at the middle of the stack's depth, as the bar's seat is laid out.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from formgen.drafting.dimension import LEVEL_MM, linear, note
from formgen.drafting.ink import ADJACENT, EDGE, JOINTS, Words
from formgen.drafting.view import View
from formgen.form.stack import Layer
from formgen.reports.drawing.front import LEAST_APART_MM
from formgen.reports.drawing.subject import Subject, corners_seen

#: White between the two views (mm on paper).
BETWEEN_MM = 14.0
#: Numbers of layers stand in a row where a layer is as wide as this on paper.
LEAST_WIDE_MM = 3.4


def end_view(subject: Subject, front: View, *, third_angle: bool) -> View:
    """The view, to the right of all that is drawn."""
    depth = subject.form.depth_mm
    left = front.reach[2] + BETWEEN_MM
    view = front.beside((left + (depth * front.scale if third_angle else 0.0), front.origin[1]))
    toward = -1.0 if third_angle else 1.0
    for alike, held in groupby(subject.form.layers, key=lambda layer: layer.outline):
        _layers(view, list(held), toward, corners_seen(alike, from_right=third_angle))
    _part(view, subject, toward)
    _sizes(view, subject, toward)
    view.settle()
    _numbers(view, subject, toward)
    return view


def _layers(view: View, held: list[Layer], toward: float, corners: Sequence[float]) -> None:
    """Neighbouring layers that are alike from their edge: as high as they are, a line for each corner that shows."""
    _, y0, _, y1 = held[0].outline.bounds
    z0, z1 = toward * held[0].front_mm, toward * (held[-1].front_mm + held[-1].thickness_mm)
    for layer in held[1:] if held[0].thickness_mm * view.scale >= LEAST_APART_MM else ():
        view.line(JOINTS, (toward * layer.front_mm, y0), (toward * layer.front_mm, y1))
    view.line(EDGE, (z0, y0), (z1, y0), (z1, y1), (z0, y1), (z0, y0))
    for y in corners:
        if y0 + 0.01 < y < y1 - 0.01:
            view.line(EDGE, (z0, y), (z1, y))


def part_z(subject: Subject) -> tuple[float, float]:
    """Find where the finished part lies across the stack (mm from its front face)."""
    depth, part = subject.form.depth_mm, subject.recipe.part.depth_mm
    return (depth - part) / 2, (depth + part) / 2


def _part(view: View, subject: Subject, toward: float) -> None:
    _, y0, _, y1 = subject.blank_strip.bounds
    z0, z1 = (toward * z for z in part_z(subject))
    view.line(ADJACENT, (z0, y0), (z1, y0), (z1, y1), (z0, y1), (z0, y0))


def _sizes(view: View, subject: Subject, toward: float) -> None:
    top = view.at((0.0, max(subject.blank_strip.bounds[3], subject.whole.bounds[3])))[1] + 3.0
    _, y0, _, y1 = subject.whole.bounds
    z0, z1 = (toward * z for z in part_z(subject))
    part_top = subject.blank_strip.bounds[3]
    linear(view, (z0, part_top), (z1, part_top), top + LEVEL_MM - 1.0, along="x")
    depth = toward * subject.form.depth_mm
    linear(view, (0.0, y1), (depth, y1), top + 2 * LEVEL_MM, along="x")
    held = [layer for layer in subject.form.layers if layer.bar_seat]
    if held:  # what is cut away on a male form, the notch on a female one
        z0, z1 = toward * held[0].front_mm, toward * (held[-1].front_mm + held[-1].thickness_mm)
        y = held[0].outline.bounds[1] if subject.male else y0
        low = view.at((0.0, y0))[1] - 4.0 - LEVEL_MM
        linear(view, (z0, y), (z1, y), low, along="x")


def _numbers(view: View, subject: Subject, toward: float) -> None:
    """The first and last layer by name; all by number in a row below, where they find room."""
    layers = subject.form.layers
    y = view.at((0.0, subject.whole.bounds[1]))[1] - 3.2
    if layers[0].thickness_mm * view.scale >= LEAST_WIDE_MM:
        for layer in layers:
            x = view.at((toward * (layer.front_mm + layer.thickness_mm / 2), 0.0))[0]
            view.paper.put_first_free([(Words(text=str(layer.number), at=(x, y), height_mm=1.8, anchor="middle"), ())])
    up, down = (0.5, -0.5, 0.8, -0.8, 0.2, 1.1, -1.1), (2.64, -2.64, 2.3, -2.3, 2.9, 2.0, -2.0)
    right, left = (layers[0], layers[-1]) if toward < 0 else (layers[-1], layers[0])
    for layer, angles in ((right, up), (left, down)):
        _, y0, _, y1 = layer.outline.bounds
        text = f"layer {layer.number}, labelled side" if layer is layers[-1] else f"layer {layer.number}"
        outer = subject.form.depth_mm if layer is layers[-1] else 0.0
        tip = (toward * outer, y0 + 0.45 * (y1 - y0))
        note(view, tip, text, angles_rad=angles)
    for layer in layers:
        if layer.channel:
            _, y0, _, y1 = layer.outline.bounds
            z = toward * (layer.front_mm + layer.thickness_mm / 2)
            note(view, (z, y0 + 0.8 * (y1 - y0)), "channel", angles_rad=(*up, *down))
