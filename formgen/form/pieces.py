"""Stage `form`: the pieces of a layer with the features that fall on each.

In: outlines of the pieces, what is cut through the stack, the ports of the layer, and who writes on them. Out: pieces.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from formgen.form.free_space import Room
from formgen.form.marking.pieces import Writer
from formgen.form.reliefs import Relief
from formgen.form.stack import Groove, Hole, Piece
from formgen.geometry.outline import Outline, Point


@dataclass(frozen=True, kw_only=True)
class Features:
    """The features cut through the stack, and those of a piece; pieces alike in outline are looked at once."""

    reliefs: tuple[Relief, ...]
    dowels: tuple[Point, ...]
    dowel_mm: float
    _seen: dict[Outline, tuple[list[Relief], list[Hole]]] = field(default_factory=dict, init=False)

    def on(self, outline: Outline) -> tuple[list[Relief], list[Hole]]:
        """The reliefs and dowel holes of one piece."""
        if outline not in self._seen:
            inside = Room(outlines=(outline,))
            grounds = inside.free(np.array([r.ground.a for r in self.reliefs]).reshape(-1, 2))
            centres = inside.free(np.array(self.dowels).reshape(-1, 2))
            self._seen[outline] = (
                [r for r, free in zip(self.reliefs, grounds, strict=True) if free > 0],
                [
                    Hole(centre=d, diameter_mm=self.dowel_mm)
                    for d, free in zip(self.dowels, centres, strict=True)
                    if free > 0
                ],
            )
        return self._seen[outline]


def cut_pieces(
    number: int, outlines: Sequence[Outline], features: Features, ports: Sequence[Groove], writer: Writer
) -> tuple[Piece, ...]:
    """The pieces of one layer with the features that fall on each."""
    pieces = []
    for i, outline in enumerate(outlines):
        reliefs, holes = features.on(outline)
        bare = Piece(
            name=f"L{number:02d}" if len(outlines) == 1 else f"L{number:02d}-{i + 1}",
            outline=outline,
            openings=tuple(r.opening for r in reliefs),
            holes=tuple(holes),
            grooves=tuple(g for g in ports if outline.contains(_middle(g.cleared))),
            marks=(),
            labels=(),
        )
        pieces.append(writer.inscribed(bare, number, i + 1, len(outlines), [r.ground for r in reliefs]))
    return tuple(pieces)


def _middle(outline: Outline) -> Point:
    xs, ys = [v[0] for v in outline.vertices], [v[1] for v in outline.vertices]
    return sum(xs) / len(xs), sum(ys) / len(ys)
