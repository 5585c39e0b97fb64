"""Building: which openings may be held against each other at all, and the radii that each of them accepts.

In: pressings, each of its own recipe. Out: families, in which everything that shapes a form's face but the curve
agrees.
"""

from __future__ import annotations

import math
from collections.abc import Hashable
from functools import cached_property

from formgen.building.model import Kind
from formgen.building.schedule.opening import Opening
from formgen.curve.deviation import accepted_radii_mm, arc_deviation_mm, legged_deviation_mm
from formgen.fixed import fixed
from formgen.form.bar import LEAN_LIMIT_RAD
from formgen.makes.on_form import is_arc_on_legs, legs_mm, one_arc
from formgen.press.setup import Pressing
from formgen.recipe.model import Recipe

#: Numbers that agree to this many decimals are the same: a millionth of a mm or of a radian.
_DECIMALS = 6


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
