"""Stage `reports`: the small pictures of the press day, each drawn in its cell from the part's own geometry.

In: a Holding's shapes, a canvas and a cell on the page (mm). Out: strokes and words on the canvas.
"""

from __future__ import annotations

import math
from typing import Any

from formgen.drafting.paper import HATCH_MM, TEXT_MM, THIN_MM
from formgen.geometry.pose import Pose
from formgen.reports.press_sheet import facts, marks, told
from formgen.reports.press_sheet.prepare import middles_meet
from formgen.reports.press_sheet.scene import HEAVY_MM, Box, Point, Scene, bounds_of, corners_of
from formgen.reports.press_sheet.shapes import Shapes, beside, hull, ring

#: White round a whole view for clamps and numbers (left, below, right, above; mm).
ROOM = (12.5, 3.0, 12.5, 10.0)
#: How far the dimension line of the close-up stands off the part (mm of paper).
DIMENSION_MM = 9.5


def stack_and_mark(shapes: Shapes, canvas: Any, cell: Box) -> None:
    """Plies flat on the bench, their lengths to scale and their thickness not, with the line across all edges."""
    laminate = shapes.holding.laminate
    middle = middles_meet(shapes.holding)
    longest = max(p.length_mm for p in laminate.plies)
    pitch = min(2.0, (cell[3] - cell[1] - 18.0) / len(laminate.plies))
    high = pitch * len(laminate.plies)
    scene = Scene.of(canvas, cell, (0.0, 0.0, longest, 1.0), (12.0, 0.0, 12.0, 0.0))
    base = (cell[1] + cell[3] - high) / 2 - 0.8
    on_form = laminate.plies if shapes.holding.pressing.side == "male" else laminate.plies[::-1]
    for i, ply in enumerate(on_form):
        begin = (longest - ply.length_mm) / 2 if middle else longest - ply.length_mm
        x0, x1 = scene.at((begin, 0.0))[0], scene.at((begin + ply.length_mm, 0.0))[0]
        y0, y1 = base + i * pitch, base + (i + 1) * pitch
        told_apart = THIN_MM if pitch >= marks.LEAST_PLY_MM else 0.0
        scene.line([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], told_apart, close=True, fill=marks.WOOD_GREY, paper=True)
    x = scene.at((longest / 2 if middle else longest - shapes.before_mm, 0.0))[0]
    scene.line([(x, base - 2.0), (x, base + high + 4.4)], HEAVY_MM, paper=True)
    scene.words("mark", (x, base + high + 6.8))
    left, right = scene.at((0.0, 0.0))[0], scene.at((longest, 0.0))[0]
    scene.words("left", (left - 1.5, base + high / 2), anchor="end")
    scene.words("right", (right + 1.5, base + high / 2), anchor="start")
    first, last = on_form[0].number, on_form[-1].number
    scene.words(f"ply {last}", (left, base + high + 2.6), anchor="start")
    scene.words(f"ply {first}: to the form", ((left + right) / 2, base - 4.4))


def bag_section(shapes: Shapes, canvas: Any, cell: Box) -> None:
    """A cut across the stack in its bag: plies, cloths lapped over both edges, the bag slack."""
    laminate, pressing = shapes.holding.laminate, shapes.holding.pressing
    deep = laminate.materials.cuts[0].width_mm
    scene = Scene.of(canvas, cell, (-deep / 2, -shapes.half_mm, deep / 2, shapes.half_mm), (15.0, 8.0, 15.0, 13.0))
    x0, y0 = scene.at((-deep / 2, -shapes.half_mm))
    x1, y1 = scene.at((deep / 2, shapes.half_mm))
    scene.line(corners_of((x0, y0, x1, y1)), THIN_MM, close=True, fill=marks.WOOD_GREY, paper=True)
    down = y1
    for ply in (laminate.plies if pressing.side == "female" else laminate.plies[::-1])[:-1]:
        down -= ply.thickness_mm / scene.scale
        if ply.thickness_mm / scene.scale >= marks.LEAST_PLY_MM:
            scene.line([(x0, down), (x1, down)], HATCH_MM, paper=True)
    over, between = ({name for name, _ in held} & {"mesh", "breather"} for held in (pressing.over, pressing.between))
    if over or between:
        under = not over
        lap = _lapped(x0, y0, x1, y1, under=under)
        scene.line(lap, HEAVY_MM, dash=marks.MESH_DASH, paper=True)
        tip = lap[2]
        scene.words("mesh or breather,", (x1 + 4.0, y1 + 10.6 if not under else y0 - 6.6), anchor="end")
        scene.words("lapped over both edges", (x1 + 4.0, y1 + 6.0 if not under else y0 - 11.0), anchor="end")
        scene.line([(tip[0], tip[1]), (tip[0], tip[1] + (1.6 if not under else -1.6))], HATCH_MM, paper=True)
    loose = 2.6
    slack = hull(corners_of((x0 - loose, y0 - loose, x1 + loose, y1 + loose)), 0.8)
    scene.line(slack, THIN_MM, close=True, dash=marks.BAG_DASH, paper=True)
    scene.words("bag", (x0 - loose - 2.0, (y0 + y1) / 2), anchor="end")
    scene.words("form's side", ((x0 + x1) / 2 - 6.0, y0 - loose - 3.2))


def _lapped(x0: float, y0: float, x1: float, y1: float, *, under: bool) -> list[Point]:
    """Along one face and a little way down both edges."""
    off, lap = 1.1, max(0.7 * (y1 - y0), 0.8)
    y, tip = (y0 - off, y0 + lap) if under else (y1 + off, y1 - lap)
    return [(x0 - off, tip), (x0 - off, y), ((x0 + x1) / 2, y), (x1 + off, y), (x1 + off, tip)]


def over_the_form(shapes: Shapes, canvas: Any, cell: Box) -> None:
    """Half bent, held at the mark, both ends on their way."""
    bent = shapes.half_bent
    band = ring(bent, shapes.half_mm)
    scene = Scene.of(canvas, cell, bounds_of([*shapes.form, *band]), (4.0, 2.0, 4.0, 9.0))
    scene.line(shapes.form, THIN_MM, close=True, fill=marks.FORM_GREY)
    marks.part_band(shapes, scene, bent, bag=facts.way(shapes.holding) == "part-bagged")
    for begin in (True, False):
        station = 0.0 if begin else bent.length_mm
        pose, final = bent.pose(station), shapes.blank.pose(0.0 if begin else shapes.blank.length_mm)
        clear = shapes.away * (shapes.half_mm + 2.2 * scene.scale)
        a, b = scene.at(marks.further(pose, clear)), scene.at(marks.further(final, clear))
        long = math.dist(a, b)
        if long > 4.0:
            reach = min(7.0, 0.8 * long)
            tip = (a[0] + (b[0] - a[0]) * reach / long, a[1] + (b[1] - a[1]) * reach / long)
            scene.arrow((a[0] + (b[0] - a[0]) * 1.5 / long, a[1] + (b[1] - a[1]) * 1.5 / long), tip, HEAVY_MM)
    pose = bent.pose(shapes.mark_mm)
    if facts.way(shapes.holding) == "form-bagged":
        return
    marks.clamp(shapes, scene, (pose.x_mm, pose.y_mm), pose.left, None)
    x, y = scene.at(
        marks.further(pose.beside(shapes.away * shapes.half_mm), shapes.away * (marks.SCREW_MM + 2.2) * scene.scale)
    )
    over = scene.at((0.0, bounds_of([*shapes.form, *band])[3]))[1] + 3.2
    y = over if shapes.away > 0.0 else max(y, over)  # never across the plies; inside the form hang the ends
    scene.words("first, at the mark", (x, y))


def clamps_on(shapes: Shapes, canvas: Any, cell: Box) -> None:
    """Every clamp at its place, numbered, with the way the hand goes."""
    scene = _on_the_form(shapes, canvas, cell)
    plan = shapes.holding.clamps
    for place in plan.places if plan is not None else ():
        marks.placed_clamp(shapes, scene, place)
    marks.outward_arrows(shapes, scene)
    for place in marks.most_telling(plan.places if plan is not None else ()):
        marks.number(shapes, scene, place.station_mm, str(place.number))
    low = cell[1] + TEXT_MM
    scene.words("left", (cell[0] + 1.0, low), anchor="start", only_if_free=True)
    scene.words("right", (cell[2] - 1.0, low), anchor="end", only_if_free=True)


def whole(shapes: Shapes, canvas: Any, cell: Box) -> None:
    """Draw what holds the part while the glue sets: feet or bar, and the pairs that stay."""
    scene = _on_the_form(shapes, canvas, cell, with_bar=True)
    plan, held = shapes.holding.clamps, facts.clamps_of(shapes.holding)
    kept = {*held.feet, *held.stay} if held is not None and not facts.comes_off(shapes.holding) else set()
    places = [place for place in plan.places if place.number in kept] if plan is not None else []
    extra = [stay for stay in facts.stays(shapes.holding) if stay.clamp is None] if kept else []
    for place in places:
        marks.placed_clamp(shapes, scene, place)
    for stay in extra:
        marks.clamp_from_the_back(shapes, scene, stay)
    marks.bar_across(shapes, scene)
    for station, text in [*((p.station_mm, str(p.number)) for p in places), *((s.station_mm, "+") for s in extra)]:
        marks.number(shapes, scene, station, text)


def measured_off(shapes: Shapes, canvas: Any, cell: Box) -> None:
    """The part in its bag off the form, the bar on it, and what is measured."""
    band = ring(shapes.blank, shapes.half_mm)
    scene = Scene.of(canvas, cell, bounds_of(band), (9.0, 9.0, 9.0, 7.0))
    marks.part_band(shapes, scene, shapes.blank, bag=True)
    marks.bar_across(shapes, scene)
    laminate = shapes.holding.laminate
    ends = [laminate.pressed.pose(s).beside(shapes.half_mm) for s in laminate.springing_mm]
    a, b = (scene.at((p.x_mm, p.y_mm)) for p in ends)
    scene.arrow(a, b, THIN_MM, both=True)
    first, last = facts.looks_again_min(shapes.holding)
    over = scene.at((0.0, bounds_of(band)[3]))[1] + 4.0
    scene.words(f"at once, {first:g}, {last:g} min", ((a[0] + b[0]) / 2, over))


def pair_close_up(shapes: Shapes, canvas: Any, cell: Box) -> None:
    """Draw where the clamp at one end of the arc stays, with its distance, several times larger than the rest."""
    stay = next((s for s in facts.stays(shapes.holding) if s.end == "right"), facts.stays(shapes.holding)[0])
    spring = marks.datum_mm(shapes, stay)
    station = stay.station_mm + shapes.before_mm
    pose, datum = shapes.blank.pose(station), shapes.blank.pose(spring + shapes.before_mm)
    scene = _close_scene(shapes, canvas, cell, datum, pose)
    scene.windowed = True
    scene.line(shapes.form, THIN_MM, close=True, fill=marks.FORM_GREY)
    marks.part_band(shapes, scene, shapes.blank, bag=True)
    across = [datum.beside(s * (shapes.half_mm + 4.0 * scene.scale)) for s in (-1.0, 1.0)]
    scene.line([(p.x_mm, p.y_mm) for p in across], THIN_MM, dash=marks.SPRING_DASH)
    marks.clamp_on_block(shapes, scene, station)
    out = shapes.away * (shapes.half_mm + DIMENSION_MM * scene.scale)
    a, b = (scene.at(marks.further(p, out)) for p in (datum, pose))
    side, shift = ("start", 1.8) if shapes.away * pose.left[0] > 0 else ("end", -1.8)
    if abs(stay.station_mm - spring) > 0.5:
        for p, q in ((a, datum), (b, pose)):
            scene.line([scene.at(marks.further(q, out - shapes.away * 5.0 * scene.scale)), p], HATCH_MM, paper=True)
        scene.arrow(a, b, THIN_MM, both=True)
        middle = ((a[0] + b[0]) / 2 + shift, (a[1] + b[1]) / 2)
        scene.words(told.distance(shapes.holding, stay), middle, anchor=side, letter_mm=3.5)
    name = "trim line" if stay.trim_line else "spring line"
    into = marks.further(datum, -shapes.away * (shapes.half_mm + 5.0 * scene.scale))
    scene.words(name, scene.at(into), anchor="end" if side == "start" else "start")


def _close_scene(shapes: Shapes, canvas: Any, cell: Box, datum: Pose, pose: Pose) -> Scene:
    """The scene that holds both places with their dimension line, as large as the cell allows."""
    half, away = shapes.half_mm, shapes.away
    scene = Scene.of(canvas, cell, (0.0, 0.0, 60.0, 60.0), (0.0, 0.0, 0.0, 0.0))
    for _ in range(4):  # the white round it is in mm of paper, and so the scale settles in a few rounds
        near, far = -away * (half + 4.0 * scene.scale), away * (half + (DIMENSION_MM + 1.0) * scene.scale)
        corners = [marks.further(p, offset) for p in (datum, pose) for offset in (near, far)]
        scene = Scene.of(canvas, cell, bounds_of(corners), (18.0, 6.0, 18.0, 6.0))
    return scene


def form_and_bag(shapes: Shapes, canvas: Any, cell: Box) -> None:
    """Form and part in one bag, drawn slack."""
    band = ring(shapes.blank, shapes.half_mm)
    scene = Scene.of(canvas, cell, bounds_of([*shapes.form, *band]), (9.0, 8.0, 9.0, 6.0))
    scene.line(hull([*shapes.form, *band], 3.0 * scene.scale), THIN_MM, close=True, dash=marks.BAG_DASH)
    scene.line(shapes.form, THIN_MM, close=True, fill=marks.FORM_GREY)
    marks.part_band(shapes, scene, shapes.blank, bag=False)
    x = (cell[0] + cell[2]) / 2
    low = scene.at((0.0, bounds_of([*shapes.form, *band])[1]))[1]
    scene.words("one bag round both", (x, low - 5.2))


def drawn_down(shapes: Shapes, canvas: Any, cell: Box) -> None:
    """Form and part under full vacuum: the air presses the part on the form from outside."""
    band = ring(shapes.blank, shapes.half_mm)
    scene = Scene.of(canvas, cell, bounds_of([*shapes.form, *band]), (9.0, 6.5, 9.0, 7.0))
    scene.line(shapes.form, THIN_MM, close=True, fill=marks.FORM_GREY)
    marks.part_band(shapes, scene, shapes.blank, bag=False)
    under = shapes.blank.extended(2.0 * scene.scale, 2.0 * scene.scale)
    off = shapes.away * (shapes.half_mm + marks.BAG_MM * scene.scale)
    scene.line(beside(under, off), THIN_MM, dash=marks.BAG_DASH)
    for i in range(1, 8):
        pose = shapes.blank.pose(i * shapes.blank.length_mm / 8)
        tail, tip = (
            scene.at(marks.further(pose.beside(shapes.away * shapes.half_mm), shapes.away * far * scene.scale))
            for far in (6.5, 1.6)
        )
        scene.arrow(tail, tip, THIN_MM)
    marks.bar_across(shapes, scene)


def _on_the_form(shapes: Shapes, canvas: Any, cell: Box, *, with_bar: bool = False) -> Scene:
    band = ring(shapes.blank, shapes.half_mm)
    left, below, right, above = ROOM
    below = 6.5 if with_bar and facts.bar(shapes.holding) is not None else below
    room = (left, below, right, above) if shapes.away < 0 else (4.0, below, 4.0, 5.0)
    scene = Scene.of(canvas, cell, bounds_of([*shapes.form, *band]), room)
    scene.line(shapes.form, THIN_MM, close=True, fill=marks.FORM_GREY)
    for x, y in shapes.reliefs:
        scene.dot((x, y), 0.8, fill=1.0)
    marks.part_band(shapes, scene, shapes.blank, bag=facts.way(shapes.holding) == "part-bagged")
    return scene
