"""Stage `press`: the result, how the part lies on its form and what the press day needs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from formgen.curve.arcspline import ArcSpline
from formgen.findings import Finding
from formgen.laminate.plies import Laminate
from formgen.press.bag import Bag
from formgen.press.closing import Closing
from formgen.press.film import FilmFolds
from formgen.press.glue import Glue
from formgen.press.vacuum import Vacuum


@dataclass(frozen=True, kw_only=True)
class Pressing:
    """The part on its form.

    Args:
        laminate: the stage before.
        side: `male` (the form lies inside the curve) or `female` (outside it).
        side_reason: why that side.
        between: (name, thickness mm) of what lies between part and form, from the part to the form.
        over: (name, thickness mm) of what lies on the part's other face, from the part outward.
        form_in_bag: whether the form is inside the vacuum bag.
        vacuum_kpa: gauge vacuum asked for; what is held, and all that follows from it, is in `vacuum`.
        face_offset_mm: from the pressed centre line to the form face, positive to the left (inside).
        over_offset_mm: from the pressed centre line to the outermost of what lies over the part, same sign.
        face: the form face along the finished part, parallel to the pressed centre line, same number of pieces.
        film: folds of the bag's film on the form's side, which the face does not allow for.
        vacuum: what vacuum is held, pump-down, leak and duty.
        closing: whether that bends and closes the stack.
        glue: weight and times.
        bag: sizes.
        findings: what somebody must know.
    """

    laminate: Laminate
    side: Literal["male", "female"]
    side_reason: str
    between: tuple[tuple[str, float], ...]
    over: tuple[tuple[str, float], ...]
    form_in_bag: bool
    vacuum_kpa: float
    face_offset_mm: float
    over_offset_mm: float
    face: ArcSpline
    film: FilmFolds
    vacuum: Vacuum
    closing: Closing
    glue: Glue
    bag: Bag
    findings: tuple[Finding, ...] = ()

    @property
    def all_findings(self) -> tuple[Finding, ...]:
        """The findings of every stage so far, in the order of the stages."""
        arch = self.laminate.arch
        return (*arch.recipe.findings, *arch.findings, *self.laminate.findings, *self.findings)
