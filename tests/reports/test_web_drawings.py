"""What the pictures are made of, against closed forms: volumes of the pieces, lengths and turning of the curves."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

import numpy as np
import pytest

from formgen.form.model import Form
from formgen.geometry.outline import Outline
from formgen.geometry.pose import Pose
from formgen.lengths import write_measured
from formgen.reports.web.curve_drawing import curve_figure, curves_of
from formgen.reports.web.drawing import Frame, circle_path, outline_path, stroke_path
from formgen.reports.web.layer_drawing import layer_figures
from formgen.reports.web.solid_model import CHORD_MM, solid_model


def test_the_turning_model_holds_the_volume_of_every_piece(shipped: Form) -> None:
    """Sum of triangles times heights against areas of lines and arcs; chords may take off CHORD_MM along every arc."""
    model = solid_model(shipped)
    for layer, drawn in zip(shipped.layers, model["layers"], strict=True):
        assert (drawn["number"], drawn["low"]) == (layer.number, round(10 * layer.front_mm))
        for piece, index in zip(layer.pieces, drawn["pieces"], strict=True):
            volume = 0.0
            for slab in model["solids"][index]:
                points = np.array([c for ring in slab["rings"] for c in ring], dtype=float).reshape(-1, 2)
                a, b, c = points[np.array(slab["triangles"]).reshape(-1, 3)].transpose(1, 0, 2)
                areas = ((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]) / 2.0
                assert areas.min() > -1.0  # square tenths: all anticlockwise
                volume += areas.sum() * (slab["high"] - slab["low"])
            rings = [piece.outline, *(o.outline for o in piece.openings)]
            holes = math.fsum(math.pi * h.diameter_mm**2 / 4 for h in piece.holes)
            area = piece.outline.area_mm2 - math.fsum(o.outline.area_mm2 for o in piece.openings) - holes
            true = area * layer.thickness_mm - math.fsum(g.cleared.area_mm2 * g.depth_mm for g in piece.grooves)
            edge = math.fsum(ring.length_mm for ring in rings) + math.fsum(math.pi * h.diameter_mm for h in piece.holes)
            allowed = (CHORD_MM + 0.1) * edge * layer.thickness_mm + 0.1 * area
            assert volume * 1e-3 == pytest.approx(true, abs=allowed)


def test_the_part_lies_in_the_middle_of_the_stack(made: Callable[[str], Form]) -> None:
    form = made("porch-door-jamb")
    model = solid_model(form)
    slab = model["solids"][model["part"]["solid"]][0]
    assert slab["high"] / 10 == pytest.approx(5.25 * 25.4, abs=0.06)  # the recipe's depth
    above = form.depth_mm - (model["part"]["low"] + slab["high"]) / 10
    assert above == pytest.approx(model["part"]["low"] / 10, abs=0.11)


def test_the_finished_curve_lies_on_the_pressed_one_by_their_middles(shipped: Form) -> None:
    """Release keeps lengths and takes the part s of all turning back."""
    curves, s = curves_of(shipped), shipped.laminate.spring_back
    turned = [abs(length * k) for length, k in curves.pressed.pieces]
    assert math.fsum(abs(n * k) for n, k in curves.finished.pieces) == pytest.approx(math.fsum(turned) * (1 - s))
    assert curves.finished.length_mm == pytest.approx(curves.pressed.length_mm)
    here, there = curves.finished.pose(curves.middle_mm), curves.pressed.pose(curves.middle_mm)
    assert math.hypot(here.x_mm - there.x_mm, here.y_mm - there.y_mm) < 1e-6


def test_the_ring_shows_an_end_five_times_as_large_and_measures_it(shipped: Form) -> None:
    """From the picture's own numbers: its transform, and its arrows against the distances of the stages' curves."""
    figure, legend = curve_figure(shipped)
    curves = curves_of(shipped)
    times, skew, skew_, times_, left, top = _numbers(re.search(r"<use [^>]*matrix\(([^)]*)\)", figure))
    assert (times, skew, skew_, times_) == (5.0, 0.0, 0.0, 5.0)
    scale = _numbers(re.search(r'<g transform="matrix\(([^)]*)\)', figure))[0] * 10  # of the paths, in tenths of mm
    small, large = (_circle(line) for line in re.findall(r"<circle [^>]*>", figure)[:2])
    assert (times * small[0] + left, times * small[1] + top) == pytest.approx(large[:2], abs=0.1)
    assert times * small[2] == pytest.approx(large[2])
    moved = math.dist(_xy(curves.pressed.start), _xy(curves.finished.start))
    tips = [_numbers(tip) for tip in re.finditer(r"M([^LMZ]*)L[^MZ]*L[^MZ]*Z", figure)]
    a, b = tips[-4:-2]  # of the arrow a; those of b come last
    assert math.dist(a, b) == pytest.approx(5.0 * scale * moved, abs=0.2)
    (said,) = [words for sample, words in legend if sample == '<b class="sample">a</b>']
    assert write_measured(moved, shipped.recipe.units) in said


def test_the_ring_keeps_clear_of_the_curve(shipped: Form) -> None:
    """No line of the drawing runs through the ring: its own copy lies inside."""
    figure, _ = curve_figure(shipped)
    curves = curves_of(shipped)
    k, _, _, _, left, top = _numbers(re.search(r'<g transform="matrix\(([^)]*)\)', figure))
    x, y, radius = _circle(re.findall(r"<circle [^>]*>", figure)[1])
    drawn = [curve.sampled(0.5) for curve in (curves.pressed, curves.finished, curves.face)]
    points = np.concatenate([*drawn, curves.body.flattened(0.5), curves.part.flattened(0.5)])
    placed = np.column_stack([10 * k * points[:, 0] + left, top - 10 * k * points[:, 1]])
    assert np.hypot(*(placed - (x, y)).T).min() > radius
    high = _numbers(re.search(r'viewBox="([^"]*)"', figure))[3]
    assert radius <= x <= 1000 - radius
    assert y + radius <= high


def test_each_different_layer_is_drawn_once(shipped: Form) -> None:
    figures = layer_figures(shipped)
    cuts = {layer.number: tuple((p.cut, p.marks) for p in layer.pieces) for layer in shipped.layers}
    assert sorted(n for figure in figures for n in figure.numbers) == sorted(cuts)
    for figure in figures:
        assert len({cuts[n] for n in figure.numbers}) == 1
    assert len(figures) == len(set(cuts.values()))


def _numbers(found: re.Match[str] | None) -> list[float]:
    assert found is not None
    return [float(number) for number in re.findall(r"-?[\d.]+(?:e-?\d+)?", found[1])]


def _circle(line: str) -> tuple[float, float, float]:
    cx, cy, r = (float(re.search(rf' {name}="([^"]*)"', line)[1]) for name in ("cx", "cy", "r"))  # type: ignore[index]
    return cx, cy, r


def _xy(pose: Pose) -> tuple[float, float]:
    return pose.x_mm, pose.y_mm


def test_paths_are_true_arcs() -> None:
    """SVG 1.1, 8.3.8: radius and flags of an arc; a half disc of R 100 anticlockwise, y up, in tenths of a mm."""
    half = Outline(((100.0, 0.0, 1.0), (-100.0, 0.0, 0.0)))
    assert outline_path(half) == "M1000 0A1000.0 1000.0 0 0 1 -1000 0L1000 0Z"
    quarter = Outline(((0.0, 0.0, 0.0), (50.0, 0.0, math.tan(math.pi / 8)), (0.0, 50.0, 0.0)))
    assert outline_path(quarter) == "M0 0L500 0A500.0 500.0 0 0 1 0 500L0 0Z"
    assert circle_path((10.0, -5.0), 8.0) == "M60 -50a40 40 0 1 0 80 0a40 40 0 1 0 -80 0Z"


def test_strokes_come_back_from_their_path() -> None:
    points = [(1.0, -2.0), (3.04, -2.5), (3.0, 4.0), (-7.0, 4.1)]
    path = stroke_path(points)
    x, y, *steps = [int(n) for n in re.findall(r"-?\d+", path)]
    read = [(x, y)]
    for dx, dy in zip(steps[::2], steps[1::2], strict=True):
        read.append((read[-1][0] + dx, read[-1][1] + dy))
    assert read == [(round(10 * px), round(10 * py)) for px, py in points]
    assert stroke_path(points[:1]) == ""


def test_a_frame_puts_corners_inside_its_margins() -> None:
    frame = Frame.round((-50.0, 10.0, 150.0, 60.0), (20.0, 10.0, 30.0, 40.0))
    assert frame.at((-50.0, 60.0)) == pytest.approx((20.0, 10.0))
    assert frame.at((150.0, 10.0)) == pytest.approx((970.0, frame.high - 40.0))
