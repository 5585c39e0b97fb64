"""Stage `curve`: the lines of a drawing, read, and the smooth runs in them, which are the paths one may take.

In: an opened drawing and the size of its unit. Out: stretches in mm that know which thing they were, and runs of them
without corner or fork. Nothing is chosen here.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import cached_property

from formgen.curve.drawn.contents import Item, chosen, in_blocks, outside_blocks
from formgen.curve.drawn.ends import Run, along, is_straight, meetings, runs, smooth_mates, undoubled
from formgen.curve.drawn.entities import Drawn, drawn
from formgen.curve.drawn.file import Opened
from formgen.errors import CurveError
from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline

#: No more ellipses and splines are made arcs of: each takes a tenth of a second.
MOST_SMOOTH = 60


@fixed
class Lines:
    """Lines of a drawing.

    Args:
        items: the things that they are.
        drawn: what each is, in mm.
        unread: a sentence for each line that could not be read.
        left: how many ellipses and splines were not looked at.
    """

    items: tuple[Item, ...]
    drawn: tuple[Drawn, ...]
    unread: tuple[str, ...]
    left: int = 0

    @cached_property
    def stretches(self) -> tuple[ArcSpline, ...]:
        """All stretches."""
        return tuple(s for held in self.drawn for s in held.stretches)

    @cached_property
    def owners(self) -> tuple[int, ...]:
        """The item that each of them belongs to, by number."""
        return tuple(n for n, held in enumerate(self.drawn) for _ in held.stretches)

    def without_closed(self) -> Lines:
        """The same without the things that end where they begin."""
        kept = [n for n, held in enumerate(self.drawn) if not held.closed]
        return Lines(
            items=tuple(self.items[n] for n in kept),
            drawn=tuple(self.drawn[n] for n in kept),
            unread=self.unread,
            left=self.left,
        )


@fixed
class Path:
    """A run without corner or fork.

    Args:
        run: the stretches of its `Lines`, in order.
        curves: the same as curves, one after another.
        layer: of its first stretch.
        block: that this lies in, empty for none.
        closed: it ends where it begins.
        meets: tells for its first and its last end whether another line touches it there, in a corner or a fork.
    """

    run: Run
    curves: tuple[ArcSpline, ...]
    layer: str
    block: str
    closed: bool
    meets: tuple[bool, bool]

    @property
    def length_mm(self) -> float:
        """Length along it."""
        return math.fsum(s.length_mm for s in self.curves)

    @property
    def sweep_rad(self) -> float:
        """Turning from one end to the other."""
        return math.fsum(s.sweep_rad for s in self.curves)

    @cached_property
    def bends(self) -> bool:
        """Tell whether a part could be bent to it: it has two ends and is not straight."""
        return not self.closed and not is_straight(self.curves)

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """(x least, y least, x greatest, y greatest)."""
        x0, y0, x1, y1 = zip(*(s.bounds for s in self.curves), strict=True)
        return min(x0), min(y0), max(x1), max(y1)

    @property
    def middle(self) -> tuple[float, float]:
        """The point halfway along it."""
        rest = self.length_mm / 2.0
        for curve in self.curves:
            if rest <= curve.length_mm:
                break
            rest -= curve.length_mm
        pose = curve.pose(min(rest, curve.length_mm))
        return pose.x_mm, pose.y_mm

    def off_mm(self, point: tuple[float, float]) -> float:
        """Distance of a point."""
        return min(abs(curve.nearest(*point)[1]) for curve in self.curves)


class Paper:
    """All that is drawn, each selection of it read once.

    Args:
        drawing: the file, opened.
        scale: mm in one unit of it.
    """

    def __init__(self, drawing: Opened, scale: float) -> None:
        self.drawing = drawing
        self.scale = scale
        self._held: dict[tuple[str | None, bool, bool], tuple[Lines, tuple[Path, ...]]] = {}

    @cached_property
    def _outside(self) -> tuple[Item, ...]:
        return outside_blocks(self.drawing)

    @cached_property
    def _inside(self) -> tuple[Item, ...]:
        return in_blocks(self._outside)

    def items(self, layer: str | None) -> tuple[Item, ...]:
        """Everything outside blocks, or on one layer; without a layer nothing that is not shown."""
        return tuple(chosen(self.drawing, self._outside, layer))

    def items_in_blocks(self, layer: str | None) -> tuple[Item, ...]:
        """The lines in blocks, or those on one layer."""
        return tuple(chosen(self.drawing, self._inside, layer))

    def lines(self, layer: str | None, *, outside: bool = True, inside: bool = False) -> Lines:
        """The lines outside blocks, inside them or both, or those on one layer."""
        return self._read(layer, outside=outside, inside=inside)[0]

    def paths(self, layer: str | None, *, outside: bool = True, inside: bool = False) -> tuple[Path, ...]:
        """The smooth runs in these lines."""
        return self._read(layer, outside=outside, inside=inside)[1]

    def _read(self, layer: str | None, *, outside: bool, inside: bool) -> tuple[Lines, tuple[Path, ...]]:
        key = (layer, outside, inside)
        if key not in self._held:
            items = [item for item in self.items(layer) if item.is_line] if outside else []
            items += self.items_in_blocks(layer) if inside else ()
            lines = _lines(items, self.scale)
            self._held[key] = lines, tuple(_paths(lines))
        return self._held[key]


def _lines(items: Iterable[Item], scale: float) -> Lines:
    kept, read, unread, smooth = [], [], [], 0
    for item in items:
        smooth += item.kind in {"ELLIPSE", "SPLINE"}
        if smooth > MOST_SMOOTH and item.kind in {"ELLIPSE", "SPLINE"}:
            continue
        try:
            held = drawn(item.entity, scale)
        except CurveError as err:
            unread.append(str(err))
            continue
        kept.append(item)
        read.append(held)
    left = max(0, smooth - MOST_SMOOTH)
    return Lines(items=tuple(kept), drawn=tuple(read), unread=tuple(unread), left=left)


def _paths(lines: Lines) -> Iterable[Path]:
    stretches, owners = lines.stretches, lines.owners
    numbers = undoubled(stretches)
    kept = [stretches[i] for i in numbers]
    met = meetings(kept)
    open_runs, rings = runs(len(kept), smooth_mates(kept, met))
    for run, closed in (*((run, False) for run in open_runs), *((run, True) for run in rings)):
        curves = tuple(along(kept, run))
        item = lines.items[owners[numbers[run[0][0]]]]
        yield Path(
            run=tuple((numbers[i], end) for i, end in run),
            curves=curves,
            layer=item.layer,
            block=item.block,
            closed=closed,
            meets=(bool(met[run[0]]), bool(met[run[-1][0], 1 - run[-1][1]])),
        )
