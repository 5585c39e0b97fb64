"""Stage `press`: the result, how the part lies on its form."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from formgen.curve.arcspline import ArcSpline
from formgen.findings import Finding
from formgen.laminate.plies import Laminate


@dataclass(frozen=True, kw_only=True)
class Pressing:
    """The part on its form.

    Args:
        laminate: the stage before.
        side: `male` (the form lies inside the curve) or `female` (outside it).
        between: (name, thickness mm) of what lies between part and form, from the part to the form.
        form_in_bag: whether the form is inside the vacuum bag.
        vacuum_kpa: gauge vacuum asked for.
        face_offset_mm: from the pressed centre line to the form face, positive to the left (inside).
        face: the form face along the finished part, parallel to the pressed centre line, same number of pieces.
        findings: what somebody must know.
    """

    laminate: Laminate
    side: Literal["male", "female"]
    between: tuple[tuple[str, float], ...]
    form_in_bag: bool
    vacuum_kpa: float
    face_offset_mm: float
    face: ArcSpline
    findings: tuple[Finding, ...] = ()
