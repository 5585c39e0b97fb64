"""Building: whether an opening comes off another one's form, for curves that are no plain arcs.

In: two candidates of one family. Out: the curve that the one gets from the other's form, and what it gives up; mm.
"""

from __future__ import annotations

import math

from formgen.building.sharing.families import Candidate
from formgen.curve.deviation import fitted_deviation_mm
from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.makes.on_form import begin_on_form_mm

#: Share of the form's run-on that a part longer than the form's own may lie on, at each end.
RUN_ON_SHARE = 0.5


@fixed
class Placed:
    """An opening on another one's form.

    Args:
        made: its centre line after release.
        past_mm: how far it reaches past the form's own part at the right and the left end, 0 or more.
        gives_up_mm: greatest deviation from its own curve.
    """

    made: ArcSpline
    past_mm: tuple[float, float]
    gives_up_mm: float


def placed(held: Candidate, form: Candidate) -> Placed | None:
    """The opening laid on the form, middle on middle (or point on point); None where it cannot come off it."""
    if held is form:
        return Placed(made=held.pressing.arch.target, past_mm=(0.0, 0.0), gives_up_mm=0.0)
    if _chords_differ(held, form):
        return None
    mine, theirs = held.pressing.laminate, form.pressing.laminate
    begin = begin_on_form_mm(held.pressing, form.pressing)
    end = begin + mine.pressed.length_mm
    before, after = max(0.0, -begin), max(0.0, end - theirs.pressed.length_mm)
    room = RUN_ON_SHARE * form.recipe.asked.form.run_on_mm
    if any(past > room and leg <= 0.0 for past, leg in zip((before, after), form.legs_mm, strict=True)):
        return None
    pressed = theirs.pressed.extended(before, after).part(before + begin, before + end)
    made = pressed.scaled_curvature(held.release)
    gives_up = fitted_deviation_mm(mine.arch.target, made)
    if gives_up > held.share * held.tolerance_mm:
        return None
    return Placed(made=made, past_mm=(before, after), gives_up_mm=gives_up)


def _chords_differ(held: Candidate, form: Candidate) -> bool:
    """A quick no: springing points further apart than the tolerance could make up for, twice over.

    Two curves of one length within e of each other differ in their chord by e at each end, and by what the turning
    makes of e along the way.
    """

    def chord(candidate: Candidate) -> float:
        target = candidate.pressing.arch.target
        a, b = (target.pose(s) for s in candidate.pressing.laminate.springing_mm)
        return math.hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm)

    target = held.pressing.arch.target
    turning = math.fsum(abs(n * k) for n, k in target.pieces)
    return abs(chord(held) - chord(form)) > 4.0 * held.tolerance_mm * (1.0 + turning)
