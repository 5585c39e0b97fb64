"""The views of the shop drawing as ink, before they are laid out on paper: what each line means, what crosses what."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path

import pytest
from shapely import LineString, Polygon
from shapely.geometry import Point as Dot

from formgen.drafting.field import box_of, segments_of
from formgen.drafting.ink import BAR, CENTRE, SIZES, SPRINGING, TRIM, Fill, Ink, Size, Stroke, Words
from formgen.drafting.view import View
from formgen.form.model import Form
from formgen.geometry.outline import Outline
from formgen.pipeline import run
from formgen.recipe.load import load_recipe
from formgen.reports.drawing.end import end_view
from formgen.reports.drawing.front import front_view
from formgen.reports.drawing.part import drawn_part, part_view
from formgen.reports.drawing.section import section_view
from formgen.reports.drawing.subject import Subject, dowel_name
from tests.reports.trials import RECIPES, TRIALS, trial

#: Forms and a scale at which each has room: legs that lean, a ring, an S, slots, joints, ports, a notch, small, large.
SCALES = {
    "porch-door-jamb": 8, "lending-desk-panel": 20, "newel-handrail": 8, "clock-surround": 5, "bandstand-ogee": 5,
    "hall-fireplace-arch": 5, "chapel-window-half": 5, "gallery-casing": 10, "reference-alcove": 10, "stair-corner": 8,
    "small-mm": 2, "large-mm": 20, "small-in": 2, "large-in": 24, "crowded-mm": 20,
}  # fmt: skip
#: Everything on the views is lettered in this height (mm).
TEXT_MM = 2.5


@dataclass(frozen=True, kw_only=True)
class Drawn:
    """A form with the ink of its views."""

    form: Form
    subject: Subject
    front: View
    alone: tuple[Ink, ...]
    part: View
    section: View


@pytest.fixture(scope="module", params=list(SCALES))
def drawn(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Drawn:
    """Its front view with the end view beside it, its part, its section."""
    return views(request.param, tmp_path_factory.mktemp(request.param))


def views(name: str, folder: Path) -> Drawn:
    form = trial(name, folder) if name in TRIALS else run(load_recipe(RECIPES / f"{name}.yaml"))
    subject, scale = Subject(form), 1.0 / SCALES[name]
    front = front_view(subject, scale, strict=name != "crowded-mm")
    alone = tuple(front.paper.inks)
    end_view(subject, front, third_angle=form.recipe.units == "in")
    part = part_view(form, scale / 2, strict=True)
    return Drawn(
        form=form, subject=subject, front=front, alone=alone, part=part, section=section_view(form),
    )  # fmt: skip


def flat(inks: tuple[Ink, ...] | list[Ink]) -> Iterator[Stroke | Fill | Words]:
    for ink in inks:
        yield from ink.parts if isinstance(ink, Size) else (ink,)


def texts(inks: tuple[Ink, ...] | list[Ink]) -> list[str]:
    return [ink.text for ink in flat(inks) if isinstance(ink, Words)]


def lines_of(inks: tuple[Ink, ...] | list[Ink], pen: str) -> list[LineString]:
    return [
        LineString([(*run[:2],) for run in segments_of(ink)] + [tuple(segments_of(ink)[-1][2:])])
        for ink in flat(inks)
        if isinstance(ink, Stroke) and ink.pen.name == pen
    ]


def shape(view: View, outline: Outline) -> Polygon:
    """An outline on the view's paper."""
    return Polygon([view.at(p) for p in outline.flattened(0.01)])


def extension_lines(view: View) -> Iterator[tuple[str, LineString]]:
    """Of every size along an axis the lines that run square to it."""
    for ink in view.paper.inks:
        if isinstance(ink, Size) and ink.along != "radius":
            for part in ink.parts:
                if isinstance(part, Stroke):
                    (ax, ay, _), (bx, by, _) = part.vertices[:2]
                    if abs((ax - bx) if ink.along == "x" else (ay - by)) < 1e-9:
                        yield ink.along, LineString([(ax, ay), (bx, by)])


def leaders(inks: tuple[Ink, ...] | list[Ink]) -> list[tuple[LineString, Words]]:
    """Leaders with a knee and a shelf, each with the text that stands on it."""
    words = [ink for ink in flat(inks) if isinstance(ink, Words)]
    found = []
    for ink in flat(inks):
        if isinstance(ink, Stroke) and ink.pen is SIZES and len(ink.vertices) == 3 and not ink.closed:
            points = [v[:2] for v in ink.vertices]
            if abs(points[1][1] - points[2][1]) > 1e-9:
                continue
            left = min(points[1][0], points[2][0]) + 0.5
            on = [w for w in words if math.dist(w.at, (left, points[1][1])) < 1.5 and not w.angle_rad]
            if on:
                found.append((LineString(points), on[0]))
    return found


def test_every_meaning_has_a_line_of_its_own(drawn: Drawn) -> None:
    pens = {ink.pen.name: ink.pen for ink in flat(drawn.alone) if isinstance(ink, Stroke)}
    looks = {(pen.dashes_mm, pen.width_mm) for pen in (CENTRE, SPRINGING, BAR)}
    assert len(looks) == 3
    names = [name for _, _, name in drawn.subject.crossings()]
    assert len(lines_of(drawn.alone, SPRINGING.name)) == names.count("springing")
    trims = lines_of(drawn.alone, TRIM.name)
    assert len(trims) == len(names) - names.count("springing")
    assert all(len(trim.coords) >= 8 for trim in trims)  # saw teeth
    assert len(lines_of(drawn.alone, BAR.name)) == (drawn.form.bar is not None)
    if drawn.subject.two_legged:
        x, _ = drawn.front.at((0.0, 0.0))
        upright = [line for line in lines_of(drawn.alone, CENTRE.name) if line.bounds[3] - line.bounds[1] > 20.0]
        assert upright
        assert all(math.isclose(a, x, abs_tol=1e-6) for line in upright for a, _ in line.coords)
    assert set(pens) <= {
        "PART", "PLIES", "EDGES", "HIDDEN EDGES", "JOINTS", "CENTRE LINES", "SPRINGING LINES", "TRIM LINES", "BAR",
        "SIZES",
    }  # fmt: skip


def test_every_text_of_a_view_has_one_height(drawn: Drawn) -> None:
    for inks in (drawn.front.paper.inks, drawn.part.paper.inks, drawn.section.paper.inks):
        assert {ink.height_mm for ink in flat(inks) if isinstance(ink, Words)} == {TEXT_MM}


def test_every_number_of_a_list_is_found_in_the_view(drawn: Drawn) -> None:
    subject, found = drawn.subject, texts(drawn.front.paper.inks)
    left_out = drawn.front.left_out
    for n in range(1, len(subject.reliefs) + 1):
        assert str(n) in [*found, *left_out]
    for n in range(len(subject.dowels)):
        assert dowel_name(n) in [*found, *left_out]
        assert not set(dowel_name(n)) & set("ilo")
    for n in range(1, len(subject.grooves) + 1):
        assert f"port {n}" in found
    layers = subject.form.layers
    named = {1, len(layers), *subject.channel, *(layer.number for layer in layers if layer.bar_seat)}
    row = [t for t in texts(drawn.front.paper.inks[len(drawn.alone) :]) if t.isdigit()]
    assert {str(n) for n in named} <= set(row)
    if len(layers) <= 14:
        assert {str(layer.number) for layer in layers} <= set(row)
    if any(layer.joints for layer in layers):
        assert "joints: odd layers full, even dashed" in found


def test_holes_are_counted_and_measured_once(drawn: Drawn) -> None:
    """A crowded form says it in its list alone."""
    if len(drawn.subject.reliefs) > 40:
        return
    found = texts(drawn.alone)
    for holes in (drawn.subject.reliefs, drawn.subject.dowels):
        if holes and drawn.form.recipe.asked.name not in ("large-in", "large-mm"):
            assert len([t for t in found if t.startswith(f"{len(holes)} × ")]) == 1 + (
                len(drawn.subject.reliefs) == len(drawn.subject.dowels)
            )


def test_the_datum_is_named_and_has_its_axes(drawn: Drawn) -> None:
    at = Dot(drawn.front.at((0.0, 0.0)))
    near = [w.text for w in flat(drawn.alone) if isinstance(w, Words) and at.distance(Polygon(box_of(w).corners)) < 13]
    assert {"datum", "x", "y"} <= set(near)
    blacks = [ink for ink in flat(drawn.alone) if isinstance(ink, Fill) and ink.pen is SIZES and len(ink.vertices) == 4]
    assert len([b for b in blacks if math.dist(b.vertices[0][:2], at.coords[0]) < 1e-9]) == 2  # no hole is half black


def test_the_section_is_marked_where_it_is_cut(drawn: Drawn) -> None:
    assert [t for t in texts(drawn.alone) if t == "A"] == ["A", "A"]
    thick = [line for line in lines_of(drawn.alone, "EDGES") if abs(line.length - 3.5) < 1e-6]
    assert len(thick) == 2
    a, b = (line.coords[0] for line in thick)
    assert LineString([a, b]).crosses(shape(drawn.front, drawn.subject.blank_strip))
    holes = [shape(drawn.front, o.outline) for o in drawn.subject.reliefs]
    assert not any(line.intersects(hole) for line in thick for hole in holes)


def test_an_extension_line_never_runs_inside_the_part_nor_along_an_edge(drawn: Drawn) -> None:
    part = drawn_part(drawn.form).gauge
    finished = Outline.of(part.outside, part.inside.reversed())
    for view, band in ((drawn.front, drawn.subject.blank_strip), (drawn.part, finished)):
        inside = shape(view, band).buffer(-0.1)
        straight = [LineString([view.at(e.a), view.at(e.b)]) for e in band.edges if not e.bulge]
        for along, line in extension_lines(view):
            assert not line.crosses(inside), along
            assert all(line.intersection(leg.buffer(0.6)).length < 6.0 for leg in straight), along


def test_a_size_that_begins_far_from_its_point_marks_it(tmp_path: Path) -> None:
    """The crown of a male form's face lies under the plies: a dot stands there, and the line begins outside."""
    found = views("porch-door-jamb", tmp_path)
    crown = found.front.at(found.subject.extremes["crown"])
    dots = [ink for ink in flat(found.alone) if isinstance(ink, Fill) and ink.pen is SIZES and len(ink.vertices) == 2]
    assert any(math.dist(crown, ((d.vertices[0][0] + d.vertices[1][0]) / 2, d.vertices[0][1])) < 0.1 for d in dots)
    level = [
        line
        for along, line in extension_lines(found.front)
        if along == "y" and abs(line.coords[0][1] - crown[1]) < 1e-6
    ]
    band = shape(found.front, found.subject.blank_strip)
    assert level
    assert all(0.2 < line.distance(band) < 2.5 for line in level)


def test_leaders_cross_neither_each_other_nor_a_text(drawn: Drawn) -> None:
    for inks in (drawn.front.paper.inks, drawn.part.paper.inks):
        found = leaders(inks)
        assert found
        for (one, _), (other, _) in combinations(found, 2):
            assert not one.intersects(other)
            assert math.dist(one.coords[0], other.coords[0]) > 1.9
        boxes = [(w, Polygon(box_of(w).corners)) for w in flat(inks) if isinstance(w, Words)]
        for line, own in found:
            assert [w.text for w, box in boxes if w is not own and line.intersects(box)] == []
            shelf = LineString(line.coords[1:])
            parts = lines_of(inks, "PART")
            assert all(shelf.distance(edge) > 0.5 for edge in parts), own.text


def test_reliefs_are_numbered_all_in_their_circles_or_all_on_one_side(made: Callable[[str], Drawn]) -> None:
    inside, outside = made("porch-door-jamb"), made("lending-desk-panel")
    for found, within in ((inside, True), (outside, False)):
        where = {w.text: Polygon(box_of(w).corners).centroid for w in flat(found.alone) if isinstance(w, Words)}
        for n, opening in enumerate(found.subject.reliefs, 1):
            relief = shape(found.front, opening.outline)
            assert relief.contains(where[str(n)]) is within
            if not within:  # on the form's side: farther from the part than the relief is
                band = shape(found.front, found.subject.blank_strip)
                assert where[str(n)].distance(band) > relief.centroid.distance(band)


def test_a_radius_is_told_from_its_name(made: Callable[[str], Drawn]) -> None:
    found = made("lending-desk-panel")
    assert "R1 = 1811.3" in texts(found.alone)
    assert {"R 1900", "outside", "104°"} <= set(texts(found.part.paper.inks))
    assert not any("face R" in text for text in texts(found.alone))


def test_a_leg_that_leans_says_how_far(made: Callable[[str], Drawn]) -> None:
    """Against the direction of the face's straight end, found anew."""
    found = made("porch-door-jamb")
    a, b = found.form.face.start, found.form.face.pose(found.form.face.pieces[0][0])
    lean = math.degrees(math.atan2(b.x_mm - a.x_mm, b.y_mm - a.y_mm))
    assert f"leans in {lean:.1f}°" in texts(found.alone)


def test_a_part_thinner_than_a_millimetre_on_paper_is_grey_with_one_line(made: Callable[[str], Drawn]) -> None:
    thin, thick = made("lending-desk-panel"), made("porch-door-jamb")
    for found, closed in ((thin, False), (thick, True)):
        assert any(isinstance(ink, Fill) and ink.pen.name == "TINT" for ink in found.alone)
        (outline,) = [i for i in found.alone if isinstance(i, Stroke) and i.pen.name == "PART"]
        assert outline.closed is closed


def test_the_section_has_a_broken_form_and_a_grain_unlike_its_hatching(made: Callable[[str], Drawn]) -> None:
    found = made("porch-door-jamb").section.paper.inks
    hatching = lines_of(found, "HATCHING")
    level = [line for line in hatching if line.bounds[1] == line.bounds[3]]
    assert level
    assert len(level) < len(hatching)
    assert any(len(line.coords) == 6 for line in lines_of(found, "SIZES"))  # the break's zigzag


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Drawn]:
    """A form by name, drawn once."""
    held: dict[str, Drawn] = {}

    def find(name: str) -> Drawn:
        if name not in held:
            held[name] = views(name, tmp_path_factory.mktemp(name))
        return held[name]

    return find


def test_a_name_too_long_for_the_section_is_cut_at_its_comma(made: Callable[[str], Drawn]) -> None:
    """A panel whose name is cut after "face" reads as a face of that thickness."""
    texts = [ink.text for ink in made("stair-corner").section.paper.inks if isinstance(ink, Words)]
    assert "plies 1–2: bending plywood 0.197" in texts, texts
