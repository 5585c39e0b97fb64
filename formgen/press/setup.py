"""Stage `press`: the result, how the part lies on its form and what the press day needs."""

from __future__ import annotations

from typing import Literal

from formgen.curve.arch import Arch
from formgen.findings import Finding
from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.laminate.plies import Laminate
from formgen.press.caul import CaulPressure
from formgen.press.drawing_down import DrawingDown
from formgen.press.film import FilmFolds
from formgen.press.glue import Glue
from formgen.press.hollows import Hollows
from formgen.press.squeeze import Bag
from formgen.press.vacuum import Vacuum
from formgen.recipe.model import Recipe
from formgen.recipe.schema import Way


@fixed
class Pressing:
    """The part on its form.

    Args:
        laminate: the stage before.
        side: `male` (the form lies inside the curve) or `female` (outside it).
        side_reason: why that side.
        between: (name, thickness mm) of what lies between part and form, from the part to the form.
        over: (name, thickness mm) of what lies on the part's other face, from the part outward.
        way: what goes into the bag: the part, form and part, or nothing.
        face_offset_mm: from the pressed centre line to the form face, positive to the left (inside).
        over_offset_mm: from the pressed centre line to the outermost of what lies over the part, same sign.
        face: the form face along the finished part, parallel to the pressed centre line, same number of pieces.
        film: folds of the bag on the form's side, which the face does not allow for.
        moment_n: greatest bending moment of the loose stack, N·mm per mm of depth: what hands and clamps work against.
        pressure_kpa: what presses ply on ply: the vacuum that is held, or what the clamps give through their caul.
        vacuum: what vacuum is held, pump-down, leak and duty; None without a bag.
        bag: sizes; None without one.
        caul: what the clamps press; None with a bag.
        hollows: whether the plies close on each other.
        drawing_down: what vacuum draws the stack down to the form; None unless form and part are in one bag.
        glue: weight and times.
        findings: what somebody must know.
    """

    laminate: Laminate
    side: Literal["male", "female"]
    side_reason: str
    between: tuple[tuple[str, float], ...]
    over: tuple[tuple[str, float], ...]
    way: Way
    face_offset_mm: float
    over_offset_mm: float
    face: ArcSpline
    film: FilmFolds
    moment_n: float
    pressure_kpa: float
    vacuum: Vacuum | None
    bag: Bag | None
    caul: CaulPressure | None
    hollows: Hollows
    drawing_down: DrawingDown | None
    glue: Glue
    findings: tuple[Finding, ...] = ()

    @property
    def recipe(self) -> Recipe:
        """The recipe that it was made from."""
        return self.laminate.recipe

    @property
    def arch(self) -> Arch:
        """The arch that the part must end up as."""
        return self.laminate.arch

    @property
    def form_in_bag(self) -> bool:
        """True if the form is inside the vacuum bag."""
        return self.way == "form-bagged"

    @property
    def all_findings(self) -> tuple[Finding, ...]:
        """The findings of every stage so far, in the order of the stages."""
        arch = self.laminate.arch
        return (*arch.recipe.findings, *arch.findings, *self.laminate.findings, *self.findings)
