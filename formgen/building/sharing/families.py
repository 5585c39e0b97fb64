"""Building: which openings may be held against each other at all, and what each of them accepts; mm.

In: pressings, each of its own recipe. Out: families, in which everything that shapes a form's face but the curve
agrees; within one, the radii that an arc accepts, and of any other curve what it gets from another one's form and what
it gives up.
"""

from __future__ import annotations

import math
from collections.abc import Hashable
from functools import cached_property

from formgen.building.model import Kind
from formgen.building.schedule.opening import Opening
from formgen.curve.deviation import accepted_radii_mm, arc_deviation_mm, fitted_deviation_mm, legged_deviation_mm
from formgen.fixed import fixed
from formgen.form.bar import LEAN_LIMIT_RAD
from formgen.geometry.arcspline import ArcSpline
from formgen.makes.on_form import begin_on_form_mm, is_arc_on_legs, legs_mm, one_arc
from formgen.press.setup import Pressing
from formgen.recipe.model import Recipe

#: Numbers that agree to this many decimals are the same: a millionth of a mm or of a radian.
_DECIMALS = 6
#: Share of the form's run-on that a part longer than the form's own may lie on, at each end.
RUN_ON_SHARE = 0.5


@fixed
class Candidate:
    """An opening as it would be pressed on a form of its own.

    Args:
        opening: the row.
        pressing: of its own recipe.
        share: the share of its tolerance that sharing may use.
    """

    opening: Opening
    pressing: Pressing
    share: float

    @property
    def recipe(self) -> Recipe:
        """The opening's own."""
        return self.opening.recipe

    @property
    def tolerance_mm(self) -> float:
        """The part's tolerance."""
        return self.recipe.part.tolerance_mm

    @property
    def release(self) -> float:
        """The share of the pressed curvature that is left after release, 1 − s."""
        return 1.0 / self.pressing.laminate.pressed_factor

    @cached_property
    def arc(self) -> tuple[float, float] | None:
        """Radius and length of the one arc on the centre line after release; None for any other curve."""
        return one_arc(self.pressing.arch)

    @cached_property
    def legs_mm(self) -> tuple[float, float]:
        """Straight runs at the right and the left end."""
        return legs_mm(self.pressing.arch)

    @cached_property
    def kind(self) -> Kind:
        """The way in which a form for it is found."""
        if self.arc is None:
            return "other curve"
        bar = self.recipe.asked.form.spreader_bar
        if not any(self.legs_mm):
            # a bar that was asked for by its height, with no legs to bear on, hangs on the curve itself
            return "arc" if bar in (None, False) else "other curve"
        return "arc with legs" if is_arc_on_legs(self.pressing.arch) else "other curve"

    @property
    def holds_bar(self) -> bool:
        """True if the whole bar bears on its shorter leg, and the legs in the press do not lean so that it slips."""
        pressed = self.pressing.laminate.pressed
        upright = max(abs(math.cos(pose.heading_rad)) for pose in (pressed.start, pressed.end))
        bears = min(self.legs_mm) >= self.recipe.shop.bar.height_mm
        return bears and upright <= math.sin(LEAN_LIMIT_RAD)

    def deviation_mm(self, made_mm: float) -> float:
        """Deviation of an arc, with or without legs, made at a radius (mm, after release)."""
        radius, length = self.arc or (math.inf, 0.0)
        if self.kind == "arc":
            return arc_deviation_mm(radius, made_mm, length)
        return legged_deviation_mm(radius, made_mm, length / radius)

    def accepts_mm(self, share: float) -> tuple[float, float]:
        """Least and greatest radius in the press at which an arc uses at most a share of its tolerance."""
        radius, _ = self.arc or (math.inf, 0.0)
        low, high = accepted_radii_mm(radius, share * self.tolerance_mm, self.deviation_mm)
        return low * self.release, high * self.release


def family(held: Candidate) -> Hashable:
    """Gather what must agree between openings that share a form: all that shapes face and body, but for the curve."""
    recipe, pressing = held.recipe, held.pressing
    asked, laminate = recipe.asked, pressing.laminate
    alike: tuple[Hashable, ...] = (
        held.kind,
        pressing.side,
        pressing.way,
        round(pressing.face_offset_mm, _DECIMALS),
        tuple(round(ply.thickness_mm, _DECIMALS) for ply in laminate.plies),
        recipe.sheet_name,
        asked.form.model_dump_json(),
        asked.part.edge_trim_mm,
        asked.part.end_trim_mm,
        asked.press.vacuum_kpa,
        laminate.arch.copies,
        tuple(round(lean, _DECIMALS) for lean in laminate.arch.mitre_rad) if laminate.arch.copies == 1 else (),
    )
    if held.kind == "arc with legs":
        radius, length = held.arc or (math.inf, 0.0)
        sweep, back = round(length / radius, _DECIMALS), round(laminate.pressed_factor, 9)
        return (*alike, held.holds_bar, sweep, back)
    if held.kind == "other curve":
        return (*alike, laminate.arch.two_legged, held.holds_bar, tuple(leg > 0.0 for leg in held.legs_mm))
    return alike


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
