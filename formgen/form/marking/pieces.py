"""Stage `form`: marks and labels on the pieces.

In: a piece with its features cut. Out: the same piece with its lines and words. Pieces that are cut alike in
several layers are looked at once and written alike.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from formgen.errors import FormError
from formgen.form.body import Body
from formgen.form.free_space import Capsule, Room
from formgen.form.marking.labels import Spot, find_spot, text_ground, write_beside, write_block
from formgen.form.marking.lines import Guide, marks_on
from formgen.form.stack import Groove, Label, Mark, Piece
from formgen.lengths import write_length
from formgen.press.setup import Pressing
from formgen.recipe.model import Recipe
from formgen.verdict import MARK


@dataclass(frozen=True, kw_only=True)
class Writer:
    """Writes on the pieces of one form.

    Args:
        pressing: whose form it is.
        body: the form's body.
        count: number of layers.
        guides: the lines to be marked.
        do_not_press: every piece says so first; where there is no room for all, it goes without face and name.
    """

    pressing: Pressing
    body: Body
    count: int
    guides: tuple[Guide, ...]
    do_not_press: bool = False
    _seen: dict[object, tuple[Spot, tuple[Mark, ...], tuple[Label, ...]]] = field(default_factory=dict, init=False)

    def inscribed(self, piece: Piece, layer: int, number: int, pieces: int, reliefs: Sequence[Capsule]) -> Piece:
        """The piece with marks and labels.

        Raises:
            FormError: a piece too small to be labelled.
        """
        *fuller, least = self._choices(layer, number, pieces)
        for lines in fuller:
            try:
                return self._written(piece, lines, reliefs)
            except FormError:
                continue
        return self._written(piece, least, reliefs)

    def _written(self, piece: Piece, lines: list[str], reliefs: Sequence[Capsule]) -> Piece:
        key = (piece.cut, len(lines))
        if key not in self._seen:
            self._seen[key] = self._place(piece, lines, reliefs)
        spot, marks, names = self._seen[key]
        return replace(piece, marks=marks, labels=(*write_block(spot, lines), *names))

    def _choices(self, layer: int, number: int, pieces: int) -> list[list[str]]:
        """List what may be written, the fullest first."""
        lines = self._lines(layer, number, pieces)
        if not self.do_not_press:
            return [lines]
        name, which, up, *more = lines
        return [[MARK, name, which, up, *more], [MARK, name, which, up], [MARK, which, up]]

    def _lines(self, layer: int, number: int, pieces: int) -> list[str]:
        which = f"LAYER {layer:02d} OF {self.count:02d}"
        if pieces > 1:
            which += f"  PIECE {number} OF {pieces}"
        lines = [self._recipe.asked.name.upper(), which, "THIS SIDE UP", self._radius()]
        if self.pressing.form_in_bag and layer in {1, self.count}:
            lines.append("EASE EDGES UNDER FILM")
        return lines

    def _radius(self) -> str:
        """Radius of the form face, or its least and greatest."""
        units = self._recipe.asked.units
        radii = sorted({round(1 / abs(k), 6) for _, k in self.pressing.face.pieces if abs(k) > 1e-9})
        if not radii:
            return "FACE STRAIGHT"
        ends = [write_length(r, units) for r in (radii[0], radii[-1])]
        return f"FACE R {ends[0]}" if ends[0] == ends[1] else f"FACE R {ends[0]} TO {ends[1]}"

    def _place(
        self, piece: Piece, lines: list[str], reliefs: Sequence[Capsule]
    ) -> tuple[Spot, tuple[Mark, ...], tuple[Label, ...]]:
        height = self._recipe.shop.router.label_height_mm
        marks = marks_on(piece.outline, piece.openings, self.guides)
        taken = [
            *reliefs,
            *(Capsule(a=h.centre, b=h.centre, radius_mm=h.diameter_mm / 2) for h in piece.holes),
            *(_ground(g) for g in piece.grooves),
        ]
        lined = [*taken, *(Capsule(a=m.start, b=m.end, radius_mm=0.0) for m in marks)]
        spot = find_spot(piece.outline, lined, lines, height)
        taken.extend(text_ground(write_block(spot, lines)))
        names: list[Label] = []
        drawn: list[Mark] = []
        for mark in marks:
            others = [Capsule(a=m.start, b=m.end, radius_mm=0.0) for m in marks if m is not mark]
            label = write_beside(mark, Room(outlines=(piece.outline,), taken=(*taken, *others)), height)
            if label is not None:
                names.append(label)
                taken.extend(text_ground([label]))
            if label is not None or not mark.openings:  # of several trim lines none is drawn that says not whose it is
                drawn.append(mark)
        return spot, tuple(drawn), tuple(names)

    @property
    def _recipe(self) -> Recipe:
        return self.pressing.recipe


def _ground(groove: Groove) -> Capsule:
    """The ground that a port takes: its rectangle's middle line, half as wide all round."""
    v = groove.outline.vertices
    a, b = ((v[0][0] + v[3][0]) / 2, (v[0][1] + v[3][1]) / 2), ((v[1][0] + v[2][0]) / 2, (v[1][1] + v[2][1]) / 2)
    return Capsule(a=a, b=b, radius_mm=groove.width_mm / 2)
