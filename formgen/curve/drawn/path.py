"""Stage `curve`: the arch `drawing`, one open path read from a DXF that lies beside the recipe.

In: the file, in the units that it declares. Out: the path in mm from the right to the left end, legs included
where they are drawn. ELLIPSE and SPLINE become arcs within 0.005 mm. What the program cannot bend is refused.

Lines and arcs that lie about in any order and direction are joined to one `ArcSpline`. Ends that meet within 0.01 mm
and 0.1° are taken for joined and healed; anything worse is refused, with the place.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import TYPE_CHECKING

import numpy as np

from formgen.curve.arch import LONGEST_MM, Fit, size, worst_fit
from formgen.curve.drawn.entities import Drawn, drawn, layer_of
from formgen.errors import CurveError
from formgen.findings import Finding, finding
from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline, Array
from formgen.geometry.biarc import FIT_TOLERANCE_MM, biarc
from formgen.geometry.outline import crossing
from formgen.lengths import Units
from formgen.libraries import load_ezdxf
from formgen.quoted import escaped
from formgen.recipe.arch_kinds import Drawing
from formgen.units import LENGTH_MM

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

#: What $INSUNITS says, in the program's words.
_INSUNITS = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m"}

#: A drawing of one path has no more bytes, and no more entities in its model space.
LARGEST_BYTES, MOST_ENTITIES = 5_000_000, 500

#: No more points than this are held against the joined path.
_MOST_PROBES = 400

#: Ends this close are one point (mm).
JOIN_MM = 0.01

#: Directions this close are one direction (rad).
JOIN_RAD = math.radians(0.1)

#: A joint is healed within this distance of it at most (mm).
_BLEND_MM = 50.0

_End = tuple[int, int]  # (stretch, 0 for its start or 1 for its end)


def read_drawing(ask: Drawing, folder: Path, units: Units) -> tuple[ArcSpline, Fit, tuple[Finding, ...]]:
    """The path in a drawing, how far it was moved to make it smooth, and what somebody must know about it.

    Args:
        ask: file and layer.
        folder: where the recipe lies.
        units: the recipe's units, taken for a drawing that declares none.

    Raises:
        CurveError: a file outside the folder, missing or no DXF; anything but one open, smooth, flat path.
    """
    path = _inside(folder, ask.file)
    document = _document(path, ask.file)
    unit, findings = _unit(document, ask.file, units, says=b"$INSUNITS" in path.read_bytes())
    parts = _entities(document, ask, float(LENGTH_MM[unit]))
    joined = join([stretch for part in parts for stretch in part.stretches])
    probes = np.concatenate([part.probes for part in parts])
    fit, _ = worst_fit(joined.curve, probes[:: math.ceil(len(probes) / _MOST_PROBES)], len(parts), "drawing")
    if joined.healed:
        mended = finding(
            "curve.drawing-healed",
            units,
            value=fit.worst_mm,
            limit=0.01,
            joints=joined.healed,
            file=ask.file,
            gap=joined.widest_mm,
            corner=joined.sharpest_rad,
        )
        findings = (*findings, mended)
    return joined.curve, fit, findings


def _inside(folder: Path, file: str) -> Path:
    """The file's path, which must lie in the recipe's folder or below."""
    parts = {*PurePosixPath(file).parts, *PureWindowsPath(file).parts}
    path = folder / file
    absolute = PurePosixPath(file).is_absolute() or bool(PureWindowsPath(file).anchor)
    if absolute or ".." in parts or not path.resolve().is_relative_to(folder.resolve()):
        raise CurveError(
            f"part.arch.file = {file!r} leads out of the recipe's folder, expected a file in it; copy the drawing "
            "beside the recipe"
        )
    if not path.is_file():
        raise CurveError(
            f"part.arch.file = {file!r} is not in the recipe's folder, expected a DXF file there; check the name"
        )
    return path


def _document(path: Path, file: str) -> Document:
    load_ezdxf()
    from ezdxf.filemanagement import readfile

    if path.stat().st_size > LARGEST_BYTES:
        raise CurveError(
            f"part.arch.file = {file!r} has more than {LARGEST_BYTES // 1_000_000} MB, expected one path; save the "
            "path alone in a drawing of its own"
        )
    try:
        return readfile(path)
    except Exception as err:  # a broken file makes the library raise whatever its parser trips over
        raise CurveError(
            f"part.arch.file = {file!r} cannot be read as a DXF, expected a drawing in that format; save it again "
            "as DXF"
        ) from err


def _unit(document: Document, file: str, units: Units, *, says: bool) -> tuple[str, tuple[Finding, ...]]:
    """The unit of the drawing's coordinates; where the file says none the library makes one up."""
    code = int(document.header.get("$INSUNITS", 0)) if says else 0
    if code in _INSUNITS:
        return _INSUNITS[code], ()
    if code:
        raise CurveError(
            f"part.arch.file = {file!r} is drawn in unit number {code} ($INSUNITS), expected in, ft, mm, cm or m; "
            "save it in one of these"
        )
    return units, (finding("curve.drawing-units", units, file=file, taken=units),)


def _entities(document: Document, ask: Drawing, scale: float) -> list[Drawn]:
    """Everything in the model space, on the asked layer if there is one, as stretches in mm."""
    every = [(e, layer_of(e)) for e in document.modelspace()]
    entities = [e for e, layer in every if ask.layer is None or layer.lower() == ask.layer.lower()]
    if len(entities) > MOST_ENTITIES:
        raise CurveError(
            f"part.arch.file = {ask.file!r} has {len(entities)} entities, expected one path of at most "
            f"{MOST_ENTITIES}; put the path on a layer of its own and name it under `layer`"
        )
    if not entities:
        layers = sorted({layer for _, layer in every})
        more = f" and {len(layers) - 5} more" if len(layers) > 5 else ""
        there = f"; there is something on: {', '.join(escaped(name) for name in layers[:5])}{more}" if layers else ""
        on = f" on layer {ask.layer!r}" if ask.layer is not None else ""
        raise CurveError(
            f"part.arch.file = {ask.file!r} has nothing in its model space{on}, expected one open path{there}"
        )
    parts = [drawn(entity, scale) for entity in entities]
    if sum(len(part.stretches) for part in parts) > MOST_ENTITIES:
        raise CurveError(
            f"part.arch.file = {ask.file!r} has more than {MOST_ENTITIES} lines and arcs, expected one smooth path; "
            "draw it with fewer"
        )
    length_mm = sum(stretch.length_mm for part in parts for stretch in part.stretches)
    if length_mm > LONGEST_MM:
        raise CurveError(
            f"part.arch.file = {ask.file!r} has a path of {length_mm / 1000:.0f} m, expected at most "
            f"{LONGEST_MM // 1000} m; look at the units of the drawing"
        )
    heights = np.concatenate([part.heights_mm for part in parts])
    if not len(heights):
        raise CurveError(
            f"part.arch.file = {ask.file!r} has polylines without a point, expected one open path; draw it again"
        )
    if float(np.ptp(heights)) > 0.01:
        raise CurveError(
            f"part.arch.file = {ask.file!r} is not flat: heights z from {heights.min():.3f} to "
            f"{heights.max():.3f} mm, expected one height; project it onto a plane first"
        )
    return parts


@fixed
class Joined:
    """The path, and what was mended on the way.

    Args:
        curve: from the right end to the left end.
        healed: how many joints did not meet exactly.
        widest_mm: widest gap among them.
        sharpest_rad: sharpest corner among them.
    """

    curve: ArcSpline
    healed: int
    widest_mm: float
    sharpest_rad: float


def join(stretches: Sequence[ArcSpline]) -> Joined:
    """One smooth path through all stretches, from the right to the left.

    Raises:
        CurveError: several paths, a gap, a branch, a closed path, a corner, or a path that crosses itself.
    """
    kept = [s for s in stretches if s.length_mm > JOIN_MM]
    if not kept:
        raise CurveError("the drawing's path has no length, expected an open path; draw it again")
    path = _rightmost_first(_in_order(kept))
    joints = [(math.dist(_xy(a, 1), _xy(b, 0)), _corner(a, b)) for a, b in pairwise(path)]
    for (_, corner), b in zip(joints, path[1:], strict=True):
        if abs(corner) > JOIN_RAD:
            raise CurveError(
                f"the drawing's path has a corner of {math.degrees(abs(corner)):.2f} deg at {_place(_xy(b, 0))}, "
                "expected at most 0.1 deg: plies do not bend round a corner; round it, or make two recipes that "
                "meet in a mitre"
            )
    curve = _healed(path, joints)
    crossed = crossing(curve)
    if crossed is not None:
        raise CurveError(
            f"the drawing's path crosses itself at {_place(crossed)}, expected a path that does not; mend the drawing"
        )
    return Joined(
        curve=curve,
        healed=sum(1 for gap, corner in joints if not _exact(gap, corner)),
        widest_mm=max((gap for gap, _ in joints), default=0.0),
        sharpest_rad=max((abs(corner) for _, corner in joints), default=0.0),
    )


def _xy(stretch: ArcSpline, end: int) -> tuple[float, float]:
    pose = stretch.end if end else stretch.start
    return pose.x_mm, pose.y_mm


def _place(point: tuple[float, float]) -> str:
    return f"x {size(point[0])}, y {size(point[1])} of the drawing"


def _exact(gap_mm: float, corner_rad: float) -> bool:
    """Tell whether a joint needs no healing: over a part of 10 m the corner moves the far end by 0.0001 mm."""
    return gap_mm <= 1e-6 and abs(corner_rad) <= 1e-8


def _corner(a: ArcSpline, b: ArcSpline) -> float:
    return math.remainder(b.start.heading_rad - a.end.heading_rad, 2.0 * math.pi)


def _in_order(stretches: list[ArcSpline]) -> list[ArcSpline]:
    """The stretches one after another, each turned to run on from the one before."""
    ends: list[_End] = [(i, e) for i in range(len(stretches)) for e in (0, 1)]
    where = np.array([_xy(stretches[i], e) for i, e in ends])
    mate = _mates(ends, where)
    free = [end for end in ends if end not in mate]
    if not free:
        raise CurveError(
            f"the drawing's path is closed (it passes {_place(_xy(stretches[0], 0))}), expected an open path; "
            "draw only the curve of the part"
        )
    path: list[ArcSpline] = []
    at: _End | None = free[0]
    while at is not None:
        stretch, end = at
        path.append(stretches[stretch].reversed() if end else stretches[stretch])
        at = mate.get((stretch, 1 - end))
    if len(path) < len(stretches):
        raise CurveError(_several(free, np.array([where[ends.index(f)] for f in free]), mate))
    return path


def _mates(ends: list[_End], where: Array) -> dict[_End, _End]:
    """Return which end meets which; CurveError where more than two meet."""
    mate: dict[_End, _End] = {}
    for i, end in enumerate(ends):
        near = np.flatnonzero(np.hypot(*(where - where[i]).T) <= JOIN_MM)
        others = [ends[int(j)] for j in near if int(j) != i]
        if len(others) > 1:
            x, y = where[i]
            raise CurveError(
                f"{len(others) + 1} ends meet at {_place((float(x), float(y)))} of which a path has two, expected "
                "one open path; take double lines and branches out, or name the path's layer"
            )
        if others:
            mate[end] = others[0]
    return mate


def _several(free: list[_End], where: Array, mate: dict[_End, _End]) -> str:
    """Count several paths, and say the narrowest gap between two of them."""
    first_of = {}
    for end in free:
        at: _End | None = end
        while at is not None:
            last = (at[0], 1 - at[1])
            at = mate.get(last)
        first_of[end] = min(end, last)
    closed = "" if len(free) > 2 else " and one or more closed ones"
    gaps = [
        (math.dist(where[i], where[j]), i, j)
        for i in range(len(free))
        for j in range(i)
        if first_of[free[i]] != first_of[free[j]]
    ]
    text = f"the drawing has {len(free) // 2} separate open path{'s' if len(free) > 2 else ''}{closed}, expected one"
    if not gaps:
        return f"{text}; name the layer of the path, or take the others out"
    width, i, j = min(gaps)
    x, y = (where[i] + where[j]) / 2.0
    return (
        f"{text}: the nearest two ends stand {size(width)} apart at {_place((float(x), float(y)))}; close the gap "
        "(0.01 mm is allowed) or name the layer of one path"
    )


def _rightmost_first(path: list[ArcSpline]) -> list[ArcSpline]:
    """The path from the right to the left; one that stands upright so that it turns left on the whole."""
    (x0, y0), (x1, y1) = _xy(path[0], 0), _xy(path[-1], 1)
    upright = abs(x1 - x0) <= 1e-3 * abs(y1 - y0)
    turned = sum(s.sweep_rad for s in path) < 0.0 if upright else x0 < x1
    return [s.reversed() for s in reversed(path)] if turned else path


def _healed(path: list[ArcSpline], joints: Sequence[tuple[float, float]]) -> ArcSpline:
    """The stretches as one curve; where two do not meet exactly a biarc runs from shortly before to shortly after.

    A biarc that rounds a corner θ over w on either side leaves the joint by wθ/4, which sets w. It stays within
    one piece on either side: a line that meets an arc is itself such a biarc, and so nothing else moves.
    """
    widths = [0.0]
    for (a, b), (gap, corner) in zip(pairwise(path), joints, strict=True):
        if _exact(gap, corner):
            widths.append(0.0)
            continue
        width = min(a.pieces[-1][0] / 3.0, b.pieces[0][0] / 3.0, _BLEND_MM)
        widths.append(min(width, 2.0 * FIT_TOLERANCE_MM / abs(corner)) if corner else width)
    widths.append(0.0)
    trimmed = [
        s.part(before, s.length_mm - after) if before or after else s
        for s, before, after in zip(path, widths, widths[1:], strict=False)
    ]
    pieces = list(trimmed[0].pieces)
    for (a, b), width in zip(pairwise(trimmed), widths[1:], strict=False):
        if width:
            pieces.extend(biarc(a.end, b.start))
        pieces.extend(b.pieces)
    return ArcSpline.of(trimmed[0].start, pieces)
