"""Stage `reports`: what the pictures of the sheet share: plies, bag, clamps with numbers, the bar, the hand's way.

In: a scene and the holding's shapes. Out: strokes and words in the scene.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from formgen.drafting.paper import HATCH_MM, THIN_MM
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.pose import Pose
from formgen.holding.clamps import ClampPlace
from formgen.holding.on_form.model import StayingClamp
from formgen.reports.press_sheet import facts
from formgen.reports.press_sheet.prepare import middles_meet
from formgen.reports.press_sheet.scene import HEAVY_MM, Point, Scene, bounds_of
from formgen.reports.press_sheet.shapes import Shapes, beside, plies, ring

#: Greys of form, wood and what is pointed out; dashes of bag, spring line and mesh (mm).
FORM_GREY, WOOD_GREY = 0.9, 0.78
BAG_DASH, SPRING_DASH, MESH_DASH = (1.2, 0.7), (2.0, 0.8), (0.4, 0.6)
#: How far the bag stands off the wood, a clamp's screw past it, and half a clamp's pad, on paper (mm).
BAG_MM, SCREW_MM, PAD_MM, NUMBER_MM = 0.8, 5.0, 1.4, 7.6
#: Least height of a ply on paper at which plies are told apart (mm).
LEAST_PLY_MM = 0.45


def part_band(shapes: Shapes, scene: Scene, curve: ArcSpline, *, bag: bool) -> None:
    """The band of plies along a curve, told apart where the scale allows, in its bag or bare."""
    if bag:
        scene.line(
            ring(curve, shapes.half_mm + BAG_MM * scene.scale, 1.6 * scene.scale), HATCH_MM, close=True, dash=BAG_DASH
        )
    scene.line(ring(curve, shapes.half_mm), THIN_MM, close=True, fill=WOOD_GREY)
    least = min(p.thickness_mm for p in shapes.holding.laminate.plies)
    if least / scene.scale >= LEAST_PLY_MM:
        for line in plies(shapes.holding, curve):
            scene.line(line, HATCH_MM)


def placed_clamp(shapes: Shapes, scene: Scene, place: ClampPlace) -> None:
    """A clamp of the plan, its fixed jaw in its relief."""
    pose = shapes.blank.pose(place.station_mm + shapes.before_mm)
    at = (pose.x_mm, pose.y_mm)
    relief = min(shapes.reliefs, key=lambda p: math.dist(p, at), default=None)
    clamp(shapes, scene, at, pose.left, relief)


def clamp_from_the_back(shapes: Shapes, scene: Scene, stay: StayingClamp) -> None:
    """A clamp that stands in no relief: from the back of the form."""
    pose = shapes.blank.pose(stay.station_mm + shapes.before_mm)
    back = pose.beside(-shapes.away * (shapes.half_mm + 6.0 * scene.scale))
    clamp(shapes, scene, (pose.x_mm, pose.y_mm), pose.left, (back.x_mm, back.y_mm))


def clamp(shapes: Shapes, scene: Scene, at: Point, left: Point, jaw: Point | None) -> None:
    """The screw and its pad on the face away from the form, and a line to the fixed jaw."""
    out = (shapes.away * left[0], shapes.away * left[1])
    x, y = scene.at((at[0] + out[0] * shapes.half_mm, at[1] + out[1] * shapes.half_mm))
    ahead = (-out[1], out[0])
    foot, head = 0.9, SCREW_MM
    scene.line([(x + out[0] * foot, y + out[1] * foot), (x + out[0] * head, y + out[1] * head)], HEAVY_MM, paper=True)
    for far, half in ((foot, PAD_MM), (head, 0.9)):
        cx, cy = x + out[0] * far, y + out[1] * far
        scene.line(
            [(cx - ahead[0] * half, cy - ahead[1] * half), (cx + ahead[0] * half, cy + ahead[1] * half)],
            HEAVY_MM if far == foot else THIN_MM,
            paper=True,
        )
    if jaw is not None:
        scene.line([scene.at(jaw), (x + out[0] * foot, y + out[1] * foot)], HATCH_MM, paper=True)
    scene.keep_clear([(x, y), (x + out[0] * head, y + out[1] * head)])


def number(shapes: Shapes, scene: Scene, station_mm: float, text: str) -> None:
    """The number of a clamp past its screw; inside a curve behind its relief, where there is room."""
    pose = shapes.blank.pose(station_mm + shapes.before_mm)
    if shapes.away < 0.0:
        p = pose.beside(shapes.away * (shapes.half_mm + NUMBER_MM * scene.scale))
    else:  # inside the curve there is no room: behind the relief
        off = min((math.dist(r, (pose.x_mm, pose.y_mm)) for r in shapes.reliefs), default=0.0)
        p = pose.beside(-shapes.away * (off + 3.4 * scene.scale))
    scene.words(text, scene.at((p.x_mm, p.y_mm)), only_if_free=True)


def most_telling(places: Sequence[ClampPlace]) -> Iterable[ClampPlace]:
    """First, last and middle first: where numbers do not all find room these do."""
    if not places:
        return ()
    middle = len(places) // 2
    order = [0, len(places) - 1, middle, *range(1, len(places) - 1)]
    return [places[i] for i in dict.fromkeys(order)]


def outward_arrows(shapes: Shapes, scene: Scene) -> None:
    """From the mark toward the ends, on the form's side of the part."""
    span = 0.2 * shapes.blank.length_mm
    gap = 0.02 * shapes.blank.length_mm
    runs = [(shapes.mark_mm + gap, shapes.mark_mm + span)]
    if middles_meet(shapes.holding):
        runs.append((shapes.mark_mm - gap, shapes.mark_mm - span))
    off = -shapes.away * (shapes.half_mm + 3.0 * scene.scale)
    for begin, end in runs:
        low, high = sorted((begin, end))
        points = [scene.at(p) for p in beside(shapes.blank, off, low, high)]
        if end < begin:
            points.reverse()
        scene.line(points, HEAVY_MM, paper=True)
        scene.arrow(points[-6], points[-1], HEAVY_MM)


def clamp_on_block(shapes: Shapes, scene: Scene, station_mm: float) -> None:
    """A clamp on its block, large: the block, the screw, the jaw's line through the form."""
    pose = shapes.blank.pose(station_mm)
    sign = shapes.away
    out, ahead = (sign * pose.left[0], sign * pose.left[1]), pose.ahead
    x, y = scene.at(further(pose.beside(sign * shapes.half_mm), sign * BAG_MM * scene.scale))
    jaw = shapes.holding.recipe.shop.clamp.jaw_mm
    half = min(jaw / 2.0 / scene.scale, 9.0)
    corners = [
        (x + a * half * ahead[0] + b * out[0], y + a * half * ahead[1] + b * out[1])
        for a, b in ((-1, 0.0), (1, 0.0), (1, 2.0), (-1, 2.0))
    ]
    scene.line(corners, THIN_MM, close=True, fill=WOOD_GREY, paper=True)
    scene.line([(x + 2.0 * out[0], y + 2.0 * out[1]), (x + 6.0 * out[0], y + 6.0 * out[1])], 3 * HEAVY_MM, paper=True)
    inner = further(pose.beside(-sign * shapes.half_mm), -sign * 30.0 * scene.scale)
    scene.line([scene.at(inner), (x, y)], HATCH_MM, dash=SPRING_DASH, paper=True)


def datum_mm(shapes: Shapes, stay: StayingClamp) -> float:
    """Station of the line from which the clamp's distance is measured, on the pressed centre line."""
    laminate = shapes.holding.laminate
    if stay.trim_line:
        return 0.0 if stay.end == "right" else laminate.pressed.length_mm
    return laminate.springing_mm[0 if stay.end == "right" else 1]


def further(pose: Pose, further_mm: float) -> Point:
    """The point of a pose set off further to its left."""
    p = pose.beside(further_mm)
    return p.x_mm, p.y_mm


def bar_across(shapes: Shapes, scene: Scene) -> None:
    """The bar with its jaws on the faces that it touches, and its setting."""
    setting = facts.bar(shapes.holding)
    if setting is None:
        return
    poses = [shapes.holding.laminate.pressed.pose(s).beside(setting.face_offset_mm) for s in setting.stations_mm]
    right, left = (scene.at((p.x_mm, p.y_mm)) for p in poses)
    out = 1.0 if setting.action == "pulls in" else -1.0
    y = (right[1] + left[1]) / 2
    scene.line([(left[0] - out * 1.4, y), (right[0] + out * 1.4, y)], 3 * HEAVY_MM, paper=True)
    for x, sign in ((right[0], out), (left[0], -out)):
        scene.line([(x + sign * 0.7, y - 3.0), (x + sign * 0.7, y + 3.0)], 2 * HEAVY_MM, paper=True)
    low = min(y - 3.0, scene.at((0.0, bounds_of([*shapes.form, *ring(shapes.blank, shapes.half_mm)])[1]))[1]) - 3.4
    low = max(low, scene.cell[1] + 2.6)
    scene.keep_clear([(left[0] - 3.0, y - 3.0), (right[0] + 3.0, y + 3.0)])
    scene.words(setting.tape, ((left[0] + right[0]) / 2, low), letter_mm=3.5)
