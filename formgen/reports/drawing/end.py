"""Stage `reports`: the end view of the form beside its front view: the layers, what is cut away, where the part lies.

In: a Form and the front view. Out: more ink on the same paper. In third-angle projection the form is seen from the
right and in first-angle from the left, so that this view stands to the right of the front view either way.

Assumptions: the part lies at the middle of the stack's depth, as the bar's seat is laid out.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from formgen.drafting.dimension import LEVEL_MM, led, note
from formgen.drafting.field import Box
from formgen.drafting.ink import ADJACENT, EDGE, JOINTS, SIZES, Words, line
from formgen.drafting.linear import linear
from formgen.drafting.text import wide
from formgen.drafting.view import View
from formgen.form.stack import Layer
from formgen.geometry.outline import Point
from formgen.reports.drawing.front import LEAST_APART_MM
from formgen.reports.drawing.subject import Subject, corners_seen

#: White between the two views, and beside what spreads out under the end view (mm on paper).
BETWEEN_MM, BESIDE_MM = 12.0, 6.0
#: White between two numbers of layers, height of the leaders that spread them out (mm on paper).
APART_MM, FAN_MM = 1.2, 5.0
#: White that is added between the views until the layer on the left can be named (mm on paper).
WIDER_MM = (0.0, 12.0, 24.0, 36.0)
#: Directions of the leaders of what is named on the right and on the left.
ON_RIGHT = (0.5, -0.5, 0.8, -0.8, 0.2, 1.1, -1.1)
ON_LEFT = (2.64, -2.64, 2.3, -2.3, 2.9, 2.0, -2.0, -1.75)
#: How far up its edge a layer is named, as shares of its height.
TIPS = (0.45, 0.75, 0.2, 0.03)
#: Of more layers than this every second is numbered, of more than twice as many every fourth, and so on.
MOST_NUMBERS = 14


def end_view(subject: Subject, front: View, *, third_angle: bool) -> View:
    """The view, to the right of all that is drawn."""
    toward = -1.0 if third_angle else 1.0
    (x0, y0), (x1, y1) = front.at(subject.reach[:2]), front.at(subject.reach[2:])
    front.paper.keep_clear(Box(corner=(x0, y0), angle_rad=0.0, length_mm=x1 - x0, height_mm=y1 - y0))
    view = _placed(subject, front, toward)
    for alike, held in groupby(subject.form.layers, key=lambda layer: layer.outline):
        _layers(view, list(held), toward, corners_seen(alike, from_right=third_angle))
    _part(view, subject, toward)
    _numbers(view, subject, toward)
    _sizes(view, subject, toward)
    view.settle()
    _names(view, subject, toward)
    return view


def _placed(subject: Subject, front: View, toward: float) -> View:
    """The place of the view: as near as its numbers and the name of the layer on the left have room."""
    depth = subject.form.depth_mm
    spread = (sum(_pitch(front, n) for n in _numbered(subject)) - depth * front.scale) / 2
    for wider in WIDER_MM:
        left = front.reach[2] + max(BETWEEN_MM, spread + BESIDE_MM) + wider
        view = front.beside((left + (depth * front.scale if toward < 0 else 0.0), front.origin[1]))
        text, tips = _layer_name(subject, subject.form.layers[-1 if toward < 0 else 0], toward)
        if any(view.paper.first_led(led(view, tip, text, ON_LEFT)) for tip in tips[:2]):
            break
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
    """Above: what is cut away for the bar on a male form, or its notch on a female one; the part; the stack."""
    part_top, y1 = subject.blank_strip.bounds[3], subject.whole.bounds[3]
    level = view.at((0.0, max(part_top, y1)))[1] + 3.0 + LEVEL_MM - 1.0
    held = [layer for layer in subject.form.layers if layer.bar_seat]
    spans = [(held[0].front_mm, held[-1].front_mm + held[-1].thickness_mm, y1)] if held else []
    spans += [(*part_z(subject), part_top), (0.0, subject.form.depth_mm, y1)]
    for z0, z1, y in spans:
        linear(view, (toward * z0, y), (toward * z1, y), level, along="x")
        level += LEVEL_MM


def _numbered(subject: Subject) -> list[int]:
    """Layers that are numbered: all, or every second; the first, the last and those that a list names always."""
    layers = subject.form.layers
    step = 1
    while len(layers) > step * MOST_NUMBERS:
        step *= 2
    seat = [layer.number for layer in layers if layer.bar_seat]
    named = {1, len(layers), *subject.channel, *seat[:1], *seat[-1:]}
    return [layer.number for layer in layers if layer.number in named or (layer.number - 1) % step == 0]


def _pitch(view: View, number: int) -> float:
    """The width that a layer's number takes in a row."""
    return wide(str(number), view.text_mm) + APART_MM


def _numbers(view: View, subject: Subject, toward: float) -> None:
    """Number the layers in a row below: under each where all have room there, else on leaders that spread out."""
    held = _numbered(subject)
    layers = {layer.number: layer for layer in subject.form.layers}
    mids = [view.at((toward * (layers[n].front_mm + layers[n].thickness_mm / 2), 0.0))[0] for n in held]
    if mids[0] > mids[-1]:
        held.reverse()
        mids.reverse()
    pitches = [_pitch(view, n) for n in held]
    bottoms = [view.at((0.0, layers[n].outline.bounds[1]))[1] for n in held]
    low = view.at(subject.reach[:2])[1]
    roomy = all(b - a >= (p + q) / 2 for a, b, p, q in zip(mids, mids[1:], pitches, pitches[1:], strict=False))
    x = (mids[0] + mids[-1] - sum(pitches)) / 2
    for number, mid, pitch, bottom in zip(held, mids, pitches, bottoms, strict=True):
        at = mid if roomy else x + pitch / 2
        x += pitch
        if not roomy:
            tip = bottom + 1.0  # just within its layer
            view.paper.put(line(SIZES, (mid, tip), (mid, low - 1.0), (at, low - FAN_MM), (at, low - FAN_MM - 0.8)))
        down = low - (1.2 if roomy else FAN_MM + 1.6) - view.text_mm
        view.paper.put(Words(text=str(number), at=(at, down), height_mm=view.text_mm, anchor="middle"))


def _names(view: View, subject: Subject, toward: float) -> None:
    """The first and the last layer by name, and the channel."""
    layers = subject.form.layers
    right, left = (layers[0], layers[-1]) if toward < 0 else (layers[-1], layers[0])
    for layer, angles in ((right, ON_RIGHT), (left, ON_LEFT)):
        text, tips = _layer_name(subject, layer, toward)
        if not any(note(view, tip, text, angles_rad=angles, needed=False) for tip in tips):
            view.no_room_for(text)
    for layer in layers:
        if layer.channel:
            _, y0, _, y1 = layer.outline.bounds
            z = toward * (layer.front_mm + layer.thickness_mm / 2)
            note(view, (z, y0 + 0.8 * (y1 - y0)), "channel", angles_rad=(*ON_RIGHT, *ON_LEFT))


def _layer_name(subject: Subject, layer: Layer, toward: float) -> tuple[str, list[Point]]:
    """Name the first or the last layer, and give points of its outer face."""
    _, y0, _, y1 = layer.outline.bounds
    is_last = layer is subject.form.layers[-1]
    text = f"layer {layer.number}, labelled side" if is_last else f"layer {layer.number}"
    outer = toward * subject.form.depth_mm if is_last else 0.0
    return text, [(outer, y0 + share * (y1 - y0)) for share in TIPS]
