"""Stage `curve`: which of the lines in a drawing is the part's, and how to say which where nobody did.

In: the paper, and what the recipe asks for: a layer, `inner` or `outer`, a point near it, or nothing. Out: one path,
and what was passed over for it. Without `near` and `line` everything on the layer must be that one path, so that no
gap leaves a leg behind; closed shapes, text, dimensions, hatches and blocks are no part of it. Blocks are looked into
where a point is given, and where nothing outside them can be bent.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from formgen.curve.arch import size
from formgen.curve.drawn.contents import Item, counts, in_words
from formgen.curve.drawn.ends import JOIN_MM, corner_rad, leaving_rad, xy
from formgen.curve.drawn.entities import Drawn
from formgen.curve.drawn.join import Joined, join, joined_run
from formgen.curve.drawn.paper import MOST_SMOOTH, Lines, Paper, Path
from formgen.errors import CurveError
from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.quoted import escaped
from formgen.recipe.arch_kinds import Drawing

#: A path has no more lines and arcs.
MOST_STRETCHES = 500

#: A point chooses a path if every other stands farther off by this factor.
_CLEARLY = 1.25

#: Where one line stops and another goes on within this, they were meant to meet (mm, rad).
_MEANT_MM, _MEANT_RAD = 5.0, math.radians(10.0)


@fixed
class LooseEnd:
    """An end of the path, near which another line goes on.

    Args:
        apart_mm: how far its end stands off.
        corner_rad: how far one would turn into it.
        at_mm: where (x, y).
    """

    apart_mm: float
    corner_rad: float
    at_mm: tuple[float, float]


@fixed
class Chosen:
    """The path.

    Args:
        joined: the path, as one curve.
        parts: what its things are, each on its own.
        by: `near`, `line` or `block` where it was one of several; empty where it was all that there is.
        layer: on which it begins.
        block: that it lies in; empty for none.
        apart_mm: from the point that was given, or from the other line.
        paths: how many there were to choose from.
        passed: things passed over, by kind.
        loose: ends near which another line goes on.
    """

    joined: Joined
    parts: tuple[Drawn, ...]
    by: str = ""
    layer: str
    block: str
    apart_mm: float = 0.0
    paths: int = 1
    passed: Counter[str]
    loose: tuple[LooseEnd, ...] = ()


def choose(paper: Paper, ask: Drawing) -> Chosen:
    """The path that is asked for.

    Raises:
        CurveError: none, several, or one that no ply can follow; the message says how to choose.
    """
    if ask.near is None and ask.line is None:
        return _whole(paper, ask)
    # a point is what somebody sees, in a block or not; else lines in blocks count where none outside them bends
    outside = ask.near is not None or not only_inside(paper, ask.layer)
    inside = ask.near is not None or not outside
    lines = paper.lines(ask.layer, outside=outside, inside=inside)
    paths = bendable(paper, ask.layer, outside=outside, inside=inside)
    _refuse_unseen(lines)
    if not paths:
        raise CurveError(_none(paper, ask, lines))
    path, apart = nearest(paths, ask.near, paper.scale) if ask.near is not None else innermost(paths, ask.line)
    _refuse_many(paper, len(path.run))
    return replace(
        _made(paper, ask, lines, joined_run(lines.stretches, path.run)),
        by="line" if ask.near is None else "near",
        apart_mm=apart,
        paths=len(paths),
        loose=tuple(_loose(lines.stretches, path)),
    )


def bendable(paper: Paper, layer: str | None, *, outside: bool = True, inside: bool = False) -> tuple[Path, ...]:
    """The runs that a part could be bent to."""
    return tuple(path for path in paper.paths(layer, outside=outside, inside=inside) if path.bends)


def only_inside(paper: Paper, layer: str | None) -> bool:
    """Tell whether nothing bends but what lies in blocks."""
    return not bendable(paper, layer) and bool(bendable(paper, layer, outside=False, inside=True))


def _whole(paper: Paper, ask: Drawing) -> Chosen:
    """Everything outside blocks, if any of it bends, else everything in them; closed shapes are no part of it."""
    inside = only_inside(paper, ask.layer)
    lines = paper.lines(ask.layer, outside=not inside, inside=inside)
    opens = lines.without_closed()
    _refuse_unseen(lines)
    try:
        if lines.unread or not opens.stretches:
            raise CurveError(lines.unread[0] if lines.unread else _none(paper, ask, lines))  # noqa: TRY301 -- advice follows
        _refuse_many(paper, len(opens.stretches))
        joined = join(opens.stretches)
    except CurveError as err:
        raise CurveError(f"{err}{_advice(paper, ask, opens, inside=inside)}") from err
    chosen = _made(paper, ask, opens, joined)
    closed = joined.rings + len(lines.items) - len(opens.items)
    chosen.passed.update({"closed shape": closed} if closed else {})
    chosen.passed.update({"line drawn twice": joined.doubled} if joined.doubled else {})
    return replace(chosen, by="block" if inside else "")


def _made(paper: Paper, ask: Drawing, lines: Lines, joined: Joined) -> Chosen:
    """The path that was joined, unless it is not flat."""
    used = sorted({lines.owners[i] for i in joined.used})
    parts = tuple(lines.drawn[n] for n in used)
    heights = np.concatenate([part.heights_mm for part in parts])
    if float(np.ptp(heights)) > JOIN_MM:
        raise CurveError(
            f"{paper.drawing.name} is not flat: heights z from {heights.min():.3f} to {heights.max():.3f} mm, expected "
            "one height; project it onto a plane first"
        )
    first = lines.items[lines.owners[joined.used[0]]]
    passed = counts(item for item in paper.items(ask.layer) if not item.is_line)
    return Chosen(joined=joined, parts=parts, layer=first.layer, block=first.block, passed=passed)


def _refuse_unseen(lines: Lines) -> None:
    if lines.left:
        raise CurveError(
            f"the drawing has {MOST_SMOOTH + lines.left} ellipses and splines to look at, expected at most "
            f"{MOST_SMOOTH}; name the layer of the path under part.arch.layer"
        )


def _refuse_many(paper: Paper, count: int) -> None:
    if count > MOST_STRETCHES:
        raise CurveError(
            f"{paper.drawing.name} has a path of {count} lines and arcs, expected one of at most {MOST_STRETCHES}; "
            "draw it with fewer"
        )


def nearest(paths: Sequence[Path], near: tuple[float, float], scale: float) -> tuple[Path, float]:
    """The path nearest to a point of the drawing, and how far off it is (mm).

    Raises:
        CurveError: another path is about as near.
    """
    point = (near[0] * scale, near[1] * scale)
    by_distance = sorted(((path.off_mm(point), n) for n, path in enumerate(paths)))
    (off, first), others = by_distance[0], by_distance[1:]
    if others and others[0][0] <= _CLEARLY * off:
        both = [near_text(paths[n].middle, scale) for n in (first, others[0][1])]
        raise CurveError(
            f"part.arch.near = {near_text(point, scale)} lies between two paths, {size(off)} and {size(others[0][0])} "
            f"away, expected a point on one of them, such as {both[0]} or {both[1]}"
        )
    return paths[first], off


def innermost(paths: Sequence[Path], line: str | None) -> tuple[Path, float]:
    """The path inside all others, or outside them, and how far from it the next one is (mm).

    Raises:
        CurveError: there is one path only, or they do not lie one inside the other.
    """
    if len(paths) < 2:
        raise CurveError(
            f"part.arch.line = {line}, expected two lines or more to choose from and there is one; leave line out, or "
            "name the layer of both"
        )
    for path in paths:
        others = [other for other in paths if other is not path]
        if all(lies_inside(path, other) if line == "inner" else lies_inside(other, path) for other in others):
            return path, min(other.off_mm(path.middle) for other in others)
    raise CurveError(
        f"part.arch.line = {line}, expected lines one inside the other and these {len(paths)} are not; name the layer "
        "of two, or a point on the one that is meant (near: [x, y])"
    )


def lies_inside(path: Path, other: Path) -> bool:
    """Tell whether a path lies on the side to which another bends."""
    if abs(other.sweep_rad) < _MEANT_RAD:
        return False
    inside = math.copysign(1.0, other.sweep_rad)
    for curve in path.curves:
        for x, y in curve.points(np.linspace(0.1, 0.9, 9) * curve.length_mm):
            off = min((curve.nearest(float(x), float(y))[1] for curve in other.curves), key=abs)
            if off * inside <= 0.0:
                return False
    return True


def near_numbers(point_mm: tuple[float, float], scale: float) -> tuple[float, float]:
    """A point as `near` takes it: in the drawing's own unit, to 1 mm or finer."""
    places = max(0, math.ceil(math.log10(scale)))
    return round(point_mm[0] / scale, places) + 0.0, round(point_mm[1] / scale, places) + 0.0


def near_text(point_mm: tuple[float, float], scale: float) -> str:
    """The same, as it is typed."""
    return "[{:.10g}, {:.10g}]".format(*near_numbers(point_mm, scale))


def _loose(stretches: Sequence[ArcSpline], path: Path) -> list[LooseEnd]:
    """The ends of a path near which a line that is none of its own goes on."""
    own = {i for i, _ in path.run}
    found: list[LooseEnd] = []
    for mine, end in (path.run[0], (path.run[-1][0], 1 - path.run[-1][1])):
        at, out = xy(stretches[mine], end), leaving_rad(stretches[mine], end)
        close = [
            (math.dist(at, xy(other, e)), abs(corner_rad(out, leaving_rad(other, e))))
            for i, other in enumerate(stretches)
            for e in (0, 1)
            if i not in own and other.length_mm > JOIN_MM
        ]
        meant = [(apart, corner) for apart, corner in close if apart <= _MEANT_MM and corner <= _MEANT_RAD]
        found.extend(LooseEnd(apart_mm=apart, corner_rad=corner, at_mm=at) for apart, corner in sorted(meant)[:1])
    return found


def _advice(paper: Paper, ask: Drawing, opens: Lines, *, inside: bool) -> str:
    """Say how to take one of the lines, where there is one to take."""
    paths = bendable(paper, ask.layer, outside=not inside, inside=inside)
    if not paths or len(paths[0].run) == len(opens.stretches):
        return ""
    listed = f"formgen show drawing {ask.file}"
    if len(paths) == 2 and (lies_inside(*paths) or lies_inside(*reversed(paths))):
        return f"; or take one of two lines by line: inner or line: outer under part.arch ({listed})"
    longest = max(paths, key=lambda path: path.length_mm)
    return f"; or take one line by a point near it, such as near: {near_text(longest.middle, paper.scale)} ({listed})"


def _none(paper: Paper, ask: Drawing, lines: Lines) -> str:
    """The refusal where nothing that was asked for is a path: what there is instead, by layer."""
    here, on = paper.items(ask.layer), f" on layer {ask.layer!r}" if ask.layer is not None else ""
    rings = [item for item, held in zip(lines.items, lines.drawn, strict=True) if held.closed]
    if rings and not lines.without_closed().stretches:
        return (
            f"the drawing has a closed {rings[0].kind} on layer {rings[0].layer!r}, expected an open path; draw only "
            "the curve of the part"
        )
    if lines.unread:
        return lines.unread[0]
    if lines.items and not lines.stretches:
        return f"{paper.drawing.name} has polylines without a point, expected one open path; draw it again"
    if lines.stretches:
        return f"{paper.drawing.name} has only straight lines and closed shapes{on}, expected an open path that bends"
    if not here:
        return f"{paper.drawing.name} has nothing in its model space{on}, expected one open path{_by_layer(paper, ask)}"
    held = in_words(counts(here))
    return f"{paper.drawing.name} has no line{on}, only {held}, expected one open path{_by_layer(paper, ask)}"


def _by_layer(paper: Paper, ask: Drawing) -> str:
    """Say what there is on the layers that have lines, or on any."""
    layers: dict[str, list[Item]] = {}
    for item in paper.items(None):
        layers.setdefault(item.layer, []).append(item)
    shown = sorted((name for name in layers if any(item.is_line for item in layers[name])), key=str.lower)
    if not shown:
        return ""
    listed = ", ".join(f"{escaped(name)} ({in_words(counts(layers[name]))})" for name in shown[:3])
    more = f" and {len(shown) - 3} more" if len(shown) > 3 else ""
    return f"; there is something on: {listed}{more}; formgen show drawing {ask.file} lists the lines"
