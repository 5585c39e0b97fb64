"""Stage `makes`: the result, the parts that come off a form; mm."""

from __future__ import annotations

from typing import Literal

from formgen.curve.ordinates import Ordinates
from formgen.curve.readings import Reading
from formgen.findings import Finding
from formgen.fixed import fixed
from formgen.press.setup import Pressing
from formgen.recipe.model import Recipe

#: The line that is drawn on the form, and on the plies lying on it, from which trims are measured.
MeasuredFrom = Literal["centre line", "form's right trim line", "form's left trim line"]


@fixed
class Trim:
    """The saw cuts at the part's ends, from a line that is drawn on the form; negative beyond that line.

    Args:
        measured_from: that line: the form's centre line; for half an arch the form's left trim line, its point; for
            a form of its own that has neither, its right trim line.
        form_face_mm: to the right and the left trim line along the form's face, with the part lying on the form.
        centre_line_mm: the same along the middle of the part's thickness.
    """

    measured_from: MeasuredFrom
    form_face_mm: tuple[float, float]
    centre_line_mm: tuple[float, float]

    @property
    def right_mm(self) -> float:
        """To the right end along the form's face."""
        return self.form_face_mm[0]

    @property
    def left_mm(self) -> float:
        """To the left end along the form's face."""
        return self.form_face_mm[1]


@fixed
class Made:
    """An opening's part that comes off the form.

    Args:
        mark: the opening's name or mark.
        ids: of every copy: `mark`, or `mark#1` and on where there are several.
        code: on paper, of all copies.
        quantity: how many parts; halves count each.
        pressing: the part as it is pressed on this form: its own plies, lengths and legs, the form's curve.
        gives_up_mm: how far its curve is from the one that the opening asked for, at most; 0 on a form of its own.
        span_mm: what it will measure from A to B after release, on the face that was measured.
        rise_mm: the same, of the face over the base line where it is farthest from it.
        measured_on: the face.
        ends_mm: stations of its right and left end on the form's pressed centre line.
        trim: where its ends are sawn, from a line on the form.
        ply_lengths_mm: with waste, from the inside out.
        gauge: heights of both faces as the form makes them; tolerances are what sharing leaves of the part's.
        readings: what a tape measures on it, in order.
        findings: what somebody must know of this part and the form's own findings do not say.
    """

    mark: str
    ids: tuple[str, ...]
    code: str
    quantity: int
    pressing: Pressing
    gives_up_mm: float
    span_mm: float
    rise_mm: float
    measured_on: Literal["inside", "outside", "centre"]
    ends_mm: tuple[float, float]
    trim: Trim
    ply_lengths_mm: tuple[float, ...]
    gauge: Ordinates
    readings: tuple[Reading, ...]
    findings: tuple[Finding, ...] = ()

    @property
    def recipe(self) -> Recipe:
        """The opening's recipe."""
        return self.pressing.recipe

    @property
    def ply_step_mm(self) -> float:
        """The most by which a ply is longer than the one inside it."""
        return self.pressing.laminate.ply_step_mm
