"""Stage `curve`: what one entity of a DXF drawing is, as stretches of lines and arcs in mm.

In: an `ezdxf` entity and the size of its unit. Out: stretches that are smooth in themselves; how they meet is
not looked at here. Drawings seen from behind (extrusion 0, 0, −1) are read as they show from the front.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np

from formgen.curve.arch import LONGEST_MM
from formgen.errors import CurveError
from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline, Array
from formgen.geometry.biarc import Smooth, fit_biarcs
from formgen.geometry.edge import Edge, Point, Vertex, edges_between
from formgen.geometry.pose import Pose
from formgen.quoted import escaped

if TYPE_CHECKING:
    from ezdxf.entities.dxfentity import DXFEntity

#: No number of a drawing is larger (mm): past it ends that meet would not be told from ends that do not.
FARTHEST_MM = 1e9
#: No smooth curve of a part is drawn through more points.
MOST_POLES = 500


@fixed
class Drawn:
    """One entity.

    Args:
        stretches: smooth runs, in the order and direction of the entity; none of a circle, an ellipse or a spline that
            closes on itself.
        probes: points exactly on the entity, (n, 2) in mm.
        heights_mm: heights z of its points.
        closed: it ends where it begins.
    """

    stretches: tuple[ArcSpline, ...]
    probes: Array
    heights_mm: Array
    closed: bool = False


_RING = Drawn(stretches=(), probes=np.empty((0, 2)), heights_mm=np.empty(0), closed=True)


def drawn(entity: DXFEntity, scale: float) -> Drawn:
    """The entity as lines and arcs.

    Args:
        entity: of one of `KINDS`.
        scale: mm in one unit of the drawing.

    Raises:
        CurveError: an entity that is not whole, or does not lie in a plane parallel to the drawing.
    """
    kind, layer = entity.dxftype(), layer_of(entity)
    try:
        _refuse_far(entity, scale)
        return _READERS[kind](entity, scale)
    except CurveError:
        raise
    except (ArithmeticError, AttributeError, LookupError, TypeError, ValueError) as err:
        raise CurveError(
            f"the drawing has a {kind} on layer {layer!r} that cannot be read ({escaped(err)}), expected a whole one; "
            "draw it again"
        ) from err


def layer_of(entity: DXFEntity) -> str:
    """The entity's layer, at most 60 characters; the drawing's first where it names none."""
    return str(entity.dxf.get("layer", "0"))[:60] if entity.dxf.is_supported("layer") else "0"


def _refuse_far(entity: Any, scale: float) -> None:
    """Refuses numbers that are none, infinite, or past any drawing's."""
    numbers = np.array([n for held in _numbers(entity) for n in held], dtype=float)
    if not np.all(np.abs(numbers) * max(scale, 1.0) <= FARTHEST_MM):
        raise CurveError(
            f"the drawing has a {entity.dxftype()} on layer {layer_of(entity)!r} with a number past any drawing's, "
            f"expected less than {FARTHEST_MM:.0f} mm; draw it again near the origin"
        )


def _numbers(entity: Any) -> Iterator[Sequence[float]]:
    """Every number that an entity is drawn from."""
    for value in entity.dxf.all_existing_dxf_attribs().values():
        if isinstance(value, float):
            yield (value,)
        elif hasattr(value, "xyz"):
            yield value.xyz
    kind = entity.dxftype()
    if kind == "LWPOLYLINE":
        yield from entity.get_points("xyb")
    elif kind == "POLYLINE":
        for vertex in entity.vertices:
            yield from _numbers(vertex)
    elif kind == "SPLINE":
        yield from (tuple(point) for point in (*entity.control_points, *entity.fit_points))
        yield from (tuple(entity.knots), tuple(entity.weights))


def _face(entity: Any) -> float:
    """1 for an entity seen from the front, −1 from behind: x and the sense of turning change sign."""
    x, y, z = entity.dxf.get("extrusion", (0.0, 0.0, 1.0))
    if math.hypot(x, y) > 1e-9 * abs(z):
        raise CurveError(
            f"the drawing has a {entity.dxftype()} on layer {layer_of(entity)!r} tilted out of the plane, "
            "expected a flat path; project it first"
        )
    return math.copysign(1.0, z)


def _of_edges(edges: Sequence[Edge], heights: Sequence[float]) -> Drawn:
    stretches, probes = [], []
    for edge in edges:
        if edge.chord_mm < 1e-9:
            continue
        chord = math.atan2(edge.b[1] - edge.a[1], edge.b[0] - edge.a[0])
        stretches.append(
            ArcSpline(Pose(*edge.a, chord - edge.sweep_rad / 2.0), ((edge.length_mm, edge.sweep_rad / edge.length_mm),))
        )
        probes.extend([edge.a, edge.b])
    return Drawn(stretches=tuple(stretches), probes=np.array(probes).reshape(-1, 2), heights_mm=np.array(heights))


def _line(entity: Any, scale: float) -> Drawn:
    a, b = entity.dxf.start * scale, entity.dxf.end * scale
    return _of_edges([Edge((a.x, a.y), (b.x, b.y), 0.0)], [a.z, b.z])


def _arc(entity: Any, scale: float) -> Drawn:
    face, radius = _face(entity), entity.dxf.radius * scale
    centre = entity.dxf.center * scale
    begin = math.radians(entity.dxf.start_angle)
    sweep = math.radians(entity.dxf.end_angle) - begin
    sweep = sweep % (2.0 * math.pi) or 2.0 * math.pi
    if sweep > 2.0 * math.pi - 1e-9:
        return _RING

    def at(angle: float) -> Point:
        return face * (centre.x + radius * math.cos(angle)), centre.y + radius * math.sin(angle)

    # seen from behind it is mirrored in y and travelled the other way round
    heading = begin + math.pi / 2.0 if face > 0 else math.pi / 2.0 - begin
    curve = ArcSpline(Pose(*at(begin), heading), ((radius * sweep, face / radius),))
    probes = np.array([at(begin), at(begin + sweep / 2.0), at(begin + sweep)])
    return Drawn(stretches=(curve,), probes=probes, heights_mm=np.array([face * centre.z]))


def _lwpolyline(entity: Any, scale: float) -> Drawn:
    face = _face(entity)
    corners = [(face * x * scale, y * scale, face * b) for x, y, b in entity.get_points("xyb")]
    return _of_corners(corners, [face * entity.dxf.get("elevation", 0.0) * scale], closed=entity.closed)


def _polyline(entity: Any, scale: float) -> Drawn:
    if not entity.is_2d_polyline:
        raise CurveError(
            f"the drawing has a 3D POLYLINE or mesh on layer {layer_of(entity)!r}, expected a flat path; draw it "
            "in the plane"
        )
    face = _face(entity)
    vertices = [v for v in entity.vertices if not v.dxf.get("flags", 0) & 16]  # 16: frame of a fitted curve, not on it
    corners = [
        (face * v.dxf.location.x * scale, v.dxf.location.y * scale, face * v.dxf.get("bulge", 0.0)) for v in vertices
    ]
    return _of_corners(corners, [face * v.dxf.location.z * scale for v in vertices], closed=entity.is_closed)


def _of_corners(corners: Sequence[Vertex], heights: Sequence[float], *, closed: bool) -> Drawn:
    ring = corners[:1] if closed else corners[:0]
    return replace(_of_edges(edges_between([*corners, *ring]), heights), closed=closed)


def _ellipse(entity: Any, scale: float) -> Drawn:
    face = _face(entity)
    centre, major = entity.dxf.center * scale, entity.dxf.major_axis * scale
    c, m = np.array([centre.x, centre.y]), np.array([major.x, major.y])
    n = face * entity.dxf.ratio * np.array([-m[1], m[0]])
    begin = entity.dxf.start_param
    sweep = (entity.dxf.end_param - begin) % (2.0 * math.pi)
    if sweep < 1e-9 or sweep > 2.0 * math.pi - 1e-9:
        return _RING

    def point(u: Array) -> Array:
        return np.asarray(c + np.cos(u)[:, None] * m + np.sin(u)[:, None] * n)

    def tangent(u: Array) -> Array:
        return np.asarray(-np.sin(u)[:, None] * m + np.cos(u)[:, None] * n)

    curve = Smooth(point=point, tangent=tangent, begin=begin, end=begin + sweep)
    return _of_smooth([curve], [centre.z, centre.z + major.z])


def _spline(entity: Any, scale: float) -> Drawn:
    if entity.closed:
        return _RING
    if max(len(entity.control_points), len(entity.fit_points)) > MOST_POLES:
        raise CurveError(
            f"the drawing has a SPLINE on layer {layer_of(entity)!r} of more than {MOST_POLES} points, expected one "
            "smooth curve; draw it with fewer"
        )
    spline = entity.construction_tool()

    def derivative(order: int, low: float, high: float) -> Callable[[Array], Array]:
        hair = 1e-10 * (high - low)  # at a knot the library answers for the stretch that follows

        def at(u: Array) -> Array:
            inside = np.clip(u, low + hair, high - hair)
            found = [d[order] for d in spline.derivatives([float(v) for v in inside], 1)]
            return np.array([(v.x, v.y) for v in found]) * scale

        return at

    # A knot as often as the degree may hold a corner: what lies on either side stands for itself.
    knots = np.asarray(spline.knots(), dtype=float)
    low, high = float(knots[spline.order - 1]), float(knots[spline.count])
    inner = np.unique(knots[(knots > low) & (knots < high)])
    stops = [low, *(float(k) for k in inner if np.count_nonzero(knots == k) >= spline.degree), high]
    runs = [Smooth(point=derivative(0, a, b), tangent=derivative(1, a, b), begin=a, end=b) for a, b in pairwise(stops)]
    return _of_smooth(runs, [p.z * scale for p in spline.control_points])


def _of_smooth(curves: Sequence[Smooth], heights: Sequence[float]) -> Drawn:
    lines = [curve.point(np.linspace(curve.begin, curve.end, 41)) for curve in curves]
    least_mm = sum(float(np.hypot(*np.diff(line, axis=0).T).sum()) for line in lines)
    if least_mm > LONGEST_MM:
        raise CurveError(
            f"the drawing has a curve of {least_mm / 1000:.0f} m or more, expected at most {LONGEST_MM // 1000} m; "
            "look at the units of the drawing"
        )
    probes = np.concatenate(lines)
    return Drawn(stretches=tuple(fit_biarcs(curve) for curve in curves), probes=probes, heights_mm=np.array(heights))


_READERS: dict[str, Callable[[Any, float], Drawn]] = {
    "LINE": _line,
    "ARC": _arc,
    "CIRCLE": lambda _, __: _RING,
    "LWPOLYLINE": _lwpolyline,
    "POLYLINE": _polyline,
    "ELLIPSE": _ellipse,
    "SPLINE": _spline,
}

#: Kinds of entity that can be a path or a piece of one.
KINDS = frozenset(_READERS)
