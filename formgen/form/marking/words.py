"""Stage `form`: the words on a piece: the short form, which is usual, and the long one, by the shop's choice.

In: whose form it is and which piece. Out: lines of text, the top one first; the name of a mark. `router.labels` in the
shop file chooses: every letter is engraved, and a router is paid by the minute.
"""

from __future__ import annotations

from formgen.fixed import fixed
from formgen.form.stack import Mark, MarkKind
from formgen.lengths import write_length
from formgen.press.setup import Pressing
from formgen.verdict import MARK

#: Points to the top of the form as it is drawn, however the text is turned: alike on all pieces of a stack.
ARROW = "↑"
FACE_UP = "THIS SIDE UP"

#: Names of the marks on a long label. A short one names the two that a hand works to, with the saw and with the bar.
_LONG_NAMES: dict[MarkKind, str] = {
    "centre line": "CENTRE LINE",
    "springing line": "SPRINGING",
    "trim line": "TRIM",
    "spreader bar": "BAR",
}
_SHORT_NAMES: dict[MarkKind, str] = {"trim line": "TRIM", "spreader bar": "BAR"}


@fixed
class Words:
    """The words on the pieces of one form.

    Args:
        pressing: whose form it is.
        count: number of layers.
        do_not_press: every piece says so first; where there is no room for all, it goes without face and name.
    """

    pressing: Pressing
    count: int
    do_not_press: bool = False

    def choices(self, layer: int, number: int, pieces: int) -> list[list[str]]:
        """List what may be written on a piece, the fullest first.

        Args:
            layer: its number, from 1.
            number: of the piece in its layer, from 1.
            pieces: how many the layer has.
        """
        which = self._short(layer, number, pieces) if self._is_short else self._long(layer, number, pieces)
        lines = [self.pressing.recipe.asked.name.upper(), which, FACE_UP]
        more = [] if self._is_short else [self._radius(), *self._ease(layer)]
        if not self.do_not_press:
            return [[*lines, *more]]
        marked = [[MARK, *lines, *more], [MARK, *lines], [MARK, which, FACE_UP]]
        return marked if more else marked[1:]

    def name_of(self, mark: Mark) -> str:
        """Return what is written beside a mark, with the openings whose it is; empty where it has no name."""
        name = (_SHORT_NAMES if self._is_short else _LONG_NAMES).get(mark.kind, "")
        return " ".join([name, *(opening.upper() for opening in mark.openings)]).strip()

    @property
    def _is_short(self) -> bool:
        return self.pressing.recipe.shop.router.labels == "short"

    def _short(self, layer: int, number: int, pieces: int) -> str:
        """`↑ L03/08 P2/3`: no fraction of an inch begins with a letter and a nought."""
        which = f"{ARROW} L{layer:02d}/{self.count:02d}"
        return f"{which} P{number}/{pieces}" if pieces > 1 else which

    def _long(self, layer: int, number: int, pieces: int) -> str:
        which = f"LAYER {layer:02d} OF {self.count:02d}"
        return f"{which}  PIECE {number} OF {pieces}" if pieces > 1 else which

    def _radius(self) -> str:
        """Radius of the form face, or its least and greatest."""
        units = self.pressing.recipe.asked.units
        radii = sorted({round(1 / abs(k), 6) for _, k in self.pressing.face.pieces if abs(k) > 1e-9})
        if not radii:
            return "FACE STRAIGHT"
        ends = [write_length(r, units) for r in (radii[0], radii[-1])]
        return f"FACE R {ends[0]}" if ends[0] == ends[1] else f"FACE R {ends[0]} TO {ends[1]}"

    def _ease(self, layer: int) -> list[str]:
        """The word to the outer layers of a form in the bag, whose film would tear on a sharp edge."""
        return ["EASE EDGES UNDER FILM"] if self.pressing.form_in_bag and layer in {1, self.count} else []
