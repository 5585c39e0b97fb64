"""Every feature of every shipped form against its neighbours, measured by shapely."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import combinations

import numpy as np
import pytest
from shapely import LineString, MultiLineString, Point, Polygon
from shapely.ops import unary_union

from formgen.errors import FormError
from formgen.form.dowels import place_dowels
from formgen.form.free_space import WALL_MM, Room
from formgen.form.model import Form
from formgen.form.stack import Piece
from formgen.geometry.edge import extent
from formgen.geometry.outline import Outline

Poly = Callable[[Outline], Polygon]
SLACK = 0.01  # shapely sees polygons within 0.001 mm of the arcs


def test_the_stack_is_as_deep_as_the_part_with_its_trim_and_not_a_layer_more(shipped: Form) -> None:
    recipe = shipped.recipe
    need = recipe.part.depth_mm + 2 * recipe.part.edge_trim_mm
    assert need <= shipped.depth_mm + 1e-9 < need + recipe.sheet.thickness_mm
    assert [layer.number for layer in shipped.layers] == list(range(1, len(shipped.layers) + 1))


def test_pieces_make_up_their_layer_and_never_overlap(shipped: Form, polygon: Poly) -> None:
    for layer in shipped.layers:
        shapes = [polygon(piece.outline) for piece in layer.pieces]
        assert sum(s.area for s in shapes) == pytest.approx(polygon(layer.outline).area, rel=1e-6)
        for a, b in combinations(shapes, 2):
            assert a.intersection(b).area < 1.0


def test_pieces_fit_their_sheet(shipped: Form, polygon: Poly) -> None:
    sheet = shipped.recipe.sheet
    room = sorted((sheet.length_mm - 2 * sheet.edge_margin_mm, sheet.width_mm - 2 * sheet.edge_margin_mm))
    for _, piece in shipped.pieces:
        hull = polygon(piece.outline).convex_hull
        coords = np.array(hull.exterior.coords)
        sizes = []
        for angle in np.radians(np.arange(0, 90, 0.5)):
            turned = coords @ np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
            sizes.append(sorted(np.ptp(turned, axis=0)))
        assert any(w <= room[0] and h <= room[1] for w, h in sizes)


def test_every_feature_keeps_a_wall_to_edges_joints_and_other_features(shipped: Form, polygon: Poly) -> None:
    for _, piece in shipped.pieces:
        shape = polygon(piece.outline)
        features = [polygon(o.outline) for o in piece.openings]
        features += [Point(h.centre).buffer(h.diameter_mm / 2, quad_segs=64) for h in piece.holes]
        for feature in features:
            assert shape.contains(feature)
            assert shape.exterior.distance(feature) >= WALL_MM - SLACK
        features += [polygon(g.cleared) for g in piece.grooves]
        for a, b in combinations(features, 2):
            assert a.distance(b) >= WALL_MM - SLACK


def test_dowels_and_reliefs_stand_at_the_same_place_in_every_layer(shipped: Form, polygon: Poly) -> None:
    dowels = {h.centre for _, p in shipped.pieces for h in p.holes}
    reliefs = {o.outline for _, p in shipped.pieces for o in p.openings}
    for layer in shipped.layers:
        assert {h.centre for p in layer.pieces for h in p.holes} == dowels
        assert {o.outline for p in layer.pieces for o in p.openings} == reliefs


def test_no_piece_goes_over_its_dowels_turned_over(shipped: Form) -> None:
    """Every mirror image and turn that carries one pair of holes onto another is tried, not only the farthest pair."""
    for _, piece in shipped.pieces:
        holes = np.array([complex(*h.centre) for h in piece.holes])
        assert len(holes) >= 3  # two dowels alone can always be turned over
        near = piece.holes[0].diameter_mm / 2
        for i, j in combinations(range(len(holes)), 2):
            for k in range(len(holes)):
                for m in range(len(holes)):
                    if k == m or abs(abs(holes[i] - holes[j]) - abs(holes[k] - holes[m])) > near:
                        continue
                    for mirror in (False, True):
                        if not mirror and (k, m) == (i, j):
                            continue
                        z = np.conj(holes) if mirror else holes
                        turn = (holes[m] - holes[k]) / (z[j] - z[i])
                        image = holes[k] + (z - z[i]) * turn / abs(turn)
                        worst = max(np.min(abs(image[:, None] - holes[None]), axis=1))
                        assert worst > near / 2


def test_joints_of_neighbouring_layers_lie_a_third_of_the_longest_piece_apart(made: Callable[[str], Form]) -> None:
    form = made("lending-desk-panel")
    assert {len(layer.pieces) for layer in form.layers} == {2}
    for a, b in zip(form.layers, form.layers[1:], strict=False):
        longest = max(_face_length(form, p) for layer in (a, b) for p in layer.pieces)
        for p, _ in a.joints:
            for q, _ in b.joints:
                apart = abs(form.face.nearest(*p)[0] - form.face.nearest(*q)[0])
                assert apart >= longest / 3 - 1e-6


def _face_length(form: Form, piece: Piece) -> float:
    """Length of a piece along the face: between the stations of its outermost points on it."""
    stations = [form.face.nearest(x, y) for x, y, _ in piece.outline.vertices]
    on_face = [s for s, away in stations if abs(away) < 1e-6]
    return max(on_face) - min(on_face)


def test_each_joint_is_bridged_by_a_neighbour_dowelled_on_both_sides(
    made: Callable[[str], Form], polygon: Poly
) -> None:
    form = made("lending-desk-panel")
    for layer, other in zip(form.layers, form.layers[1:], strict=False):
        for start, end in layer.joints:
            middle = Point((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
            bridge = next(p for p in other.pieces if polygon(p.outline).contains(middle))
            sides = {
                (end[0] - start[0]) * (h.centre[1] - start[1]) - (end[1] - start[1]) * (h.centre[0] - start[0]) > 0
                for h in bridge.holes
            }
            assert sides == {True, False}


def test_labels_lie_on_their_piece_clear_of_everything_cut(shipped: Form, polygon: Poly) -> None:
    for _, piece in shipped.pieces:
        solid = polygon(piece.outline)
        for cut in [
            *(polygon(o.outline) for o in piece.openings),
            *(polygon(g.cleared) for g in piece.grooves),
            *(Point(h.centre).buffer(h.diameter_mm / 2) for h in piece.holes),
        ]:
            solid = solid.difference(cut)
        texts = [MultiLineString([LineString(s) for s in label.strokes]) for label in piece.labels]
        assert all(solid.contains(text) for text in texts)
        for a, b in combinations([t.minimum_rotated_rectangle for t in texts], 2):
            assert a.intersection(b).area < 1e-6


def test_marks_are_named_and_lie_on_the_piece(shipped: Form, polygon: Poly) -> None:
    kinds = set()
    for _, piece in shipped.pieces:
        shape = polygon(piece.outline).buffer(0.01)
        for mark in piece.marks:
            kinds.add(mark.kind)
            assert shape.contains(LineString([mark.start, mark.end]))
    assert "trim line" in kinds
    assert ("centre line" in kinds) == shipped.arch.two_legged


def test_reliefs_lie_at_their_setback_behind_the_face(made: Callable[[str], Form], polygon: Poly) -> None:
    form = made("porch-door-jamb")
    face = LineString(form.face.sampled(0.001))
    for opening in form.layers[0].pieces[0].openings:
        assert face.distance(polygon(opening.outline)) == pytest.approx(40.0, abs=SLACK)


def test_slots_lie_along_the_face(made: Callable[[str], Form]) -> None:
    form = made("lending-desk-panel")
    for _, piece in form.pieces:
        for opening in piece.openings:
            x, y = np.mean([v[:2] for v in opening.outline.vertices], axis=0)
            station, _ = form.face.nearest(float(x), float(y))
            ux, uy = form.face.pose(station).ahead
            low, high = extent(opening.outline.edges, ux, uy)
            assert high - low == pytest.approx(2 * 50.0, abs=1e-6)  # jaw 45 and play 5, twice as long as wide


@pytest.mark.parametrize("body", ["block", "band"])
@pytest.mark.parametrize("side", ["male", "female"])
def test_a_channel_layer_stays_within_the_block(
    changed: Callable[..., Form], polygon: Poly, body: str, side: str
) -> None:
    """An ogee climbs to its crown: what is set back there leans out past the block's upright end."""
    edits = (("side: female", f"side: {side}\n  way: form-bagged"), ("body: band", f"body: {body}"))
    form = changed("bandstand-ogee", *edits)
    plain = polygon(form.layers[0].outline).buffer(0.01)
    channels = [layer for layer in form.layers if layer.channel]
    assert channels
    if body == "block":
        assert all(plain.contains(polygon(layer.outline)) for layer in channels)
    assert all(polygon(layer.outline).is_valid for layer in form.layers)


def test_a_channel_runs_along_the_face_and_every_port_leads_out(made: Callable[[str], Form], polygon: Poly) -> None:
    form = made("clock-surround")
    whole, channel = form.layers[0], form.layers[2]
    assert [layer.channel for layer in form.layers] == [False, False, True, False, False]
    gap = polygon(whole.outline).difference(polygon(channel.outline))
    assert gap.area == pytest.approx(6.0 * form.face.length_mm, rel=0.02)
    shape = polygon(channel.outline)
    for port in channel.pieces[0].grooves:
        leaves = polygon(port.outline).difference(shape)
        assert len(getattr(leaves, "geoms", [leaves])) == 2  # into the channel at one end, out of the back at the other
        assert gap.intersects(polygon(port.outline))
        assert port.depth_mm == pytest.approx(18.1 / 2)


def test_ports_of_a_block_lead_to_its_base(changed: Callable[..., Form], polygon: Poly) -> None:
    form = changed("clock-surround", ("body: band", "body: block"))
    channel = next(layer for layer in form.layers if layer.channel)
    base = min(y for _, y, _ in channel.outline.vertices)
    assert channel.pieces[0].grooves
    for port in channel.pieces[0].grooves:
        assert min(y for _, y, _ in port.cleared.vertices) == pytest.approx(base)


def test_no_relief_where_the_form_goes_in_the_bag(made: Callable[[str], Form]) -> None:
    assert not any(p.openings for _, p in made("clock-surround").pieces)


def test_reliefs_without_room_are_refused_when_asked_for_and_told_when_not(changed: Callable[..., Form]) -> None:
    narrow = ("backing: 6", "backing: 2 1/2")
    with pytest.raises(FormError, match=r"raise form\.backing"):
        changed("porch-door-jamb", narrow, ("body: band", "body: band\n  clamp_reliefs: true"))
    form = changed("porch-door-jamb", narrow)
    assert not any(p.openings for _, p in form.pieces)
    assert "form.relief-none" in {f.code for f in form.findings}


def test_union_of_all_layers_is_the_first_layer(made: Callable[[str], Form], polygon: Poly) -> None:
    """The lowest layer stays whole, so that the stack stands on it."""
    form = made("porch-door-jamb")
    union = unary_union([polygon(layer.outline) for layer in form.layers])
    assert union.area == pytest.approx(polygon(form.layers[0].outline).area)


@pytest.mark.parametrize("spacing_mm", [90, 110, 130, 150, 170, 200, 230])
def test_ports_keep_a_wall_to_everything_else(changed: Callable[..., Form], polygon: Poly, spacing_mm: int) -> None:
    form = changed("clock-surround", ("backing: 130", f"backing: 130\n  channel: {{port_spacing: {spacing_mm}}}"))
    ports = 0
    for _, piece in form.pieces:
        others = [polygon(o.outline) for o in piece.openings]
        others += [Point(h.centre).buffer(h.diameter_mm / 2, 64) for h in piece.holes]
        for groove in piece.grooves:
            ports += 1
            assert all(polygon(groove.cleared).distance(other) > WALL_MM - 0.05 for other in others)
    assert ports


def test_dowels_keep_their_own_width_from_every_edge() -> None:
    """In a strip in which the first pair alone could be turned over, so that a third is looked for."""
    strip = Outline.box((0.0, 0.0), (1.0, 0.0), 220.0, 46.0)
    for dowel in place_dowels([strip], [strip], Room(outlines=(strip,)), 10.0):
        assert 23.0 - abs(dowel[1]) >= 10.0 - 1e-9
        assert 110.0 - abs(dowel[0]) >= 10.0 - 1e-9
