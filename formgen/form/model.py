"""Stage `form`: the result, a stack of layers (`formgen/form/stack.py`) with what it bears and what comes off it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from formgen.curve.arch import Arch
from formgen.findings import Finding
from formgen.form.bar_touch import BarTouch
from formgen.form.burden import Strength, Weights
from formgen.form.stack import Layer, Piece, Stack
from formgen.geometry.arcspline import ArcSpline
from formgen.laminate.plies import Laminate
from formgen.makes.model import Made
from formgen.press.setup import Pressing
from formgen.recipe.model import Recipe


@dataclass(frozen=True, kw_only=True)
class BarSeat:
    """The seat of the spreader bar.

    Args:
        touch: height of its centre line, and where it bears on the part.
        layers: numbers of the layers that are cut away for it.
    """

    touch: BarTouch
    layers: tuple[int, ...]


@dataclass(frozen=True, kw_only=True)
class Form:
    """The form.

    Args:
        pressing: how the part lies on it; of a form for several openings, the one that it was drawn for.
        makes: the parts that come off it.
        body: `block` or `band`.
        face: the form face with its run-on past the part's ends.
        layers: from the front.
        bar: the spreader bar's seat, None where there is none.
        relief_stations_mm: stations of the clamp reliefs on the pressed centre line, from the right end.
        strength: what it bears.
        weights: what it and the part weigh, and the sheets that it takes at least.
        findings: features moved or dropped, and the like.
    """

    pressing: Pressing
    makes: tuple[Made, ...]
    body: Literal["block", "band"]
    face: ArcSpline
    layers: tuple[Layer, ...]
    bar: BarSeat | None
    relief_stations_mm: tuple[float, ...]
    strength: Strength
    weights: Weights
    findings: tuple[Finding, ...] = ()

    @property
    def recipe(self) -> Recipe:
        """The recipe that it was made from."""
        return self.pressing.recipe

    @property
    def laminate(self) -> Laminate:
        """The plies."""
        return self.pressing.laminate

    @property
    def arch(self) -> Arch:
        """The arch that the part must end up as."""
        return self.pressing.arch

    @property
    def stack(self) -> Stack:
        """All that is cut."""
        return Stack(name=self.recipe.name, layers=self.layers)

    @property
    def pieces(self) -> tuple[tuple[Layer, Piece], ...]:
        """Every piece with its layer, front to back, right to left."""
        return self.stack.pieces

    @property
    def all_findings(self) -> tuple[Finding, ...]:
        """The findings of every stage, in the order of the stages."""
        made = (finding for part in self.makes for finding in part.findings)
        return (*self.pressing.all_findings, *made, *self.findings)

    @property
    def depth_mm(self) -> float:
        """Height of the stack across the wall."""
        last = self.layers[-1]
        return last.front_mm + last.thickness_mm
