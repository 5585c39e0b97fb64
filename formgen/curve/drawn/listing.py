"""Stage `curve`: a drawing listed: its layers, the lines that bend, and what a recipe says to take each of them.

In: a DXF file. Out: counts, sizes in the drawing's own unit, and the `arch` that takes a line, each tried. It writes
nothing and draws nothing.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from pathlib import Path as File
from typing import Any

from formgen.curve.drawn.choose import choose, near_numbers
from formgen.curve.drawn.contents import by_noun, counts, hidden_layers
from formgen.curve.drawn.file import Opened, opened
from formgen.curve.drawn.paper import Paper, Path
from formgen.errors import CurveError
from formgen.fixed import fixed
from formgen.recipe.arch_kinds import Drawing
from formgen.units import LENGTH_MM

#: The ways to take a line are tried for no more lines, the longest first.
MOST_TRIED = 40


@fixed
class Layer:
    """A layer that something lies on.

    Args:
        name: as the drawing has it.
        shown: it is neither off nor frozen.
        holds: how many things of each kind, in the trade's words.
        in_blocks: the same for the lines in blocks that show on it.
    """

    name: str
    shown: bool
    holds: Mapping[str, int]
    in_blocks: Mapping[str, int]


@fixed
class Listed:
    """A line that bends.

    Args:
        layer: on which it begins.
        block: that it lies in; empty for none.
        length, width, height: in the drawing's own unit.
        straights, arcs: stretches of each, an ellipse or a spline being many arcs.
        turns_rad: from one end to the other, positive to the left.
        closed: it ends where it begins.
        corners: how many of its ends meet another line.
        takes: keys beside `kind` of the arch that takes it; None where none does.
    """

    layer: str
    block: str
    length: float
    width: float
    height: float
    straights: int
    arcs: int
    turns_rad: float
    closed: bool
    corners: int
    takes: Mapping[str, Any] | None


@fixed
class Listing:
    """The contents of a drawing.

    Args:
        drawing: the file.
        layers: those that something lies on, by name.
        paths: lines that bend, the longest first; those that close on themselves last.
        straight: how many lines bend nowhere.
        unread: a sentence for each line that cannot be read.
        left: ellipses and splines that were not looked at.
    """

    drawing: Opened
    layers: tuple[Layer, ...]
    paths: tuple[Listed, ...]
    straight: int
    unread: tuple[str, ...]
    left: int


def list_drawing(path: File) -> Listing:
    """List what is in a drawing.

    Raises:
        CurveError: no such file, or no DXF.
    """
    if not path.is_file():
        raise CurveError(f"{path}: no such file, expected a DXF drawing; check the name")
    drawing = opened(path, str(path))
    scale = float(LENGTH_MM[drawing.unit]) if drawing.unit else 1.0
    paper = Paper(drawing, scale)
    lines, paths = paper.lines(None, inside=True), paper.paths(None, inside=True)
    bent = sorted((p for p in paths if p.bends or p.closed), key=lambda p: (p.closed, -p.length_mm))
    tried: dict[tuple[Any, ...], tuple[float, float, float] | None] = {}
    return Listing(
        drawing=drawing,
        layers=tuple(_layers(paper)),
        paths=tuple(
            _listed(p, paper, _way(p, paper, path.name, tried) if n < MOST_TRIED else None) for n, p in enumerate(bent)
        ),
        straight=len(paths) - len(bent),
        unread=lines.unread,
        left=lines.left,
    )


def _layers(paper: Paper) -> Iterator[Layer]:
    """Layers by name; what is not shown is counted too."""
    hidden = hidden_layers(paper.drawing)
    outside: dict[str, Counter[str]] = {}
    inside: dict[str, Counter[str]] = {}
    for held, items in ((outside, paper.items(None)), (inside, paper.items_in_blocks(None))):
        for item in items:
            held.setdefault(item.layer, Counter()).update(counts([item]))
    for name in hidden:
        for item in paper.items(name):
            outside.setdefault(item.layer, Counter()).update(counts([item]))
    for name in sorted({*outside, *inside}, key=str.lower):
        yield Layer(
            name=name,
            shown=name.lower() not in hidden,
            holds=by_noun(outside.get(name, Counter())),
            in_blocks=by_noun(inside.get(name, Counter())),
        )


def _listed(path: Path, paper: Paper, takes: Mapping[str, Any] | None) -> Listed:
    x0, y0, x1, y1 = path.bounds
    pieces = [k for curve in path.curves for _, k in curve.pieces]
    return Listed(
        layer=path.layer,
        block=path.block,
        length=path.length_mm / paper.scale,
        width=(x1 - x0) / paper.scale,
        height=(y1 - y0) / paper.scale,
        straights=sum(k == 0.0 for k in pieces),
        arcs=sum(k != 0.0 for k in pieces),
        turns_rad=path.sweep_rad,
        closed=path.closed,
        corners=0 if path.closed else sum(path.meets),
        takes=takes,
    )


def _way(
    path: Path, paper: Paper, file: str, tried: dict[tuple[Any, ...], tuple[float, float, float] | None]
) -> Mapping[str, Any] | None:
    """The shortest that a recipe says to take a path; each way is tried once."""
    if path.closed:
        return None
    for way in _ways(path, paper.scale):
        key = tuple(way.items())
        if key not in tried:
            tried[key] = _taken(paper, Drawing(kind="drawing", file=file, **way))
        found = tried[key]
        if found and abs(found[0] - path.length_mm) < 0.1 and path.off_mm(found[1:]) < 0.1:
            return {"file": file, **way}
    return None


def _ways(path: Path, scale: float) -> Iterator[dict[str, Any]]:
    near = near_numbers(path.middle, scale)
    yield {}
    yield {"layer": path.layer}
    yield {"layer": path.layer, "line": "inner"}
    yield {"layer": path.layer, "line": "outer"}
    yield {"near": near}
    yield {"layer": path.layer, "near": near}


def _taken(paper: Paper, ask: Drawing) -> tuple[float, float, float] | None:
    """Length and middle of what an arch takes (mm)."""
    try:
        curve = choose(paper, ask).joined.curve
    except CurveError:
        return None
    pose = curve.pose(curve.length_mm / 2.0)
    return curve.length_mm, pose.x_mm, pose.y_mm
