"""Stage `makes`: an opening's part laid on a form that was made for several, and the part that comes off it so.

In: the part as it would be pressed on a form of its own, and the pressing of the form. Out: where it lies, and its own
Pressing on that form: its own plies, lengths and legs, the form's curve; mm. What kind of curve a part has decides how
it lies there.

Assumptions:
    The part lies on the form with its middle on the form's (half an arch with its point on the form's), which is where
    the centre line that is drawn on the form asks for it. What it springs back, and pulls in where the recipe allows
    for that, is its own plies' alone.
"""

from __future__ import annotations

import math
from dataclasses import replace

from formgen.curve.arch import Arch, levelled
from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.laminate.stage import make_laminate
from formgen.press.setup import Pressing
from formgen.press.stage import make_pressing

_STRAIGHT_PER_MM = 1e-12
#: A sweep past half a turn by less than this is half a turn (rad).
_HALF_TURN_RAD = 1e-9


@fixed
class Laid:
    """A part on a form.

    Args:
        made: its centre line after release.
        begin_mm, end_mm: stations of its right and left finished end on the form's pressed centre line; below 0 or
            above its length where the part reaches past the form's own trim lines.
    """

    made: ArcSpline
    begin_mm: float
    end_mm: float


def laid_on(own: Pressing, form: Pressing) -> Laid:
    """The part laid on the form.

    Args:
        own: the part on a form of its own.
        form: the form that it shares.
    """
    release = 1.0 / own.laminate.pressed_factor
    mine, theirs = own.laminate.arch, form.laminate.arch
    arc, arc_of_form = one_arc(mine), one_arc(theirs)
    if arc is not None and arc_of_form is not None and is_arc_on_legs(mine):
        return _on_legs(own, form, arc, arc_of_form, release)
    begin = begin_on_form_mm(own, form)
    end = begin + own.laminate.pressed.length_mm
    before, after = max(0.0, -begin), max(0.0, end - form.laminate.pressed.length_mm)
    pressed = form.laminate.pressed.extended(before, after).part(before + begin, before + end)
    return Laid(made=pressed.scaled_curvature(release), begin_mm=begin, end_mm=end)


def begin_on_form_mm(own: Pressing, form: Pressing) -> float:
    """Station of the part's right end on the form's pressed centre line, middle on middle, lengths kept."""
    mine, theirs = own.laminate, form.laminate
    return middle_mm(theirs.arch, theirs.springing_mm) - middle_mm(mine.arch, mine.springing_mm)


def as_made(own: Pressing, made: ArcSpline) -> Pressing:
    """The part with a given curve after release: its own plies, side and legs.

    Args:
        own: the part on a form of its own.
        made: its centre line as the form makes it.
    """
    laminate = own.laminate
    arch, asked = laminate.arch, laminate.recipe.asked
    right, left = laminate.springing_mm
    end = made.length_mm - (laminate.pressed.length_mm - left)
    press = asked.press.model_copy(update={"side": own.side})
    count = len(laminate.plies) if asked.laminate.plies == "auto" else asked.laminate.plies
    settled = asked.model_copy(update={"press": press, "laminate": asked.laminate.model_copy(update={"plies": count})})
    shaped = replace(
        arch,
        recipe=replace(arch.recipe, asked=settled),
        target=levelled(made, (right, end), arch.two_legged),
        springing_mm=(right, end),
    )
    return make_pressing(make_laminate(shaped))


def _on_legs(
    own: Pressing, form: Pressing, arc: tuple[float, float], arc_of_form: tuple[float, float], release: float
) -> Laid:
    """An arc between legs: the form's radius, its own sweep and legs, springing points on the form's."""
    radius, length = arc
    made_radius = arc_of_form[0] / form.laminate.pressed_factor / release
    right, left = legs_mm(own.laminate.arch)
    along = length * made_radius / radius
    made = ArcSpline.of(own.laminate.arch.target.start, [(right, 0.0), (along, 1.0 / made_radius), (left, 0.0)])
    begin = math.fsum([middle_mm(form.laminate.arch, form.laminate.springing_mm), -along / 2.0, -right])
    return Laid(made=made, begin_mm=begin, end_mm=begin + made.length_mm)


def one_arc(arch: Arch) -> tuple[float, float] | None:
    """Radius and length of the one arc on the centre line after release; None for any other curve."""
    bent = [piece for piece in arch.target.merged().pieces if abs(piece[1]) > _STRAIGHT_PER_MM]
    if len(bent) != 1 or bent[0][1] < 0.0 or arch.copies > 1 or any(arch.mitre_rad):
        return None
    return 1.0 / bent[0][1], bent[0][0]


def legs_mm(arch: Arch) -> tuple[float, float]:
    """Straight runs at the right and the left end."""
    pieces = arch.target.pieces
    right, left = (length if abs(k) <= _STRAIGHT_PER_MM else 0.0 for length, k in (pieces[0], pieces[-1]))
    return right, left


def is_arc_on_legs(arch: Arch) -> bool:
    """Tell whether it is one arc of at most half a turn between two legs: such arcs share a form by their sweep."""
    arc = one_arc(arch)
    if arc is None or not all(legs_mm(arch)):
        return False
    return arc[1] / arc[0] <= math.pi + _HALF_TURN_RAD and arch.two_legged


def middle_mm(arch: Arch, springing_mm: tuple[float, float]) -> float:
    """Station that is laid on the other's: the point of half an arch, else midway between the springing points."""
    right, left = springing_mm
    return left if arch.copies > 1 else 0.5 * (right + left)
