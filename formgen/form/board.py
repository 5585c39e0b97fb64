"""Stage `form`: the board that a form is made of, with its limits, and checks against them; mm, MPa."""

from __future__ import annotations

from dataclasses import dataclass

from formgen.form.burden import StrengthCheck
from formgen.form.plate import Bent, plate_stiffness_n_mm
from formgen.press.setup import Pressing
from formgen.recipe.figures import Board, board, figure


@dataclass(frozen=True, kw_only=True)
class Material:
    """The board.

    Args:
        board: modulus and strength by its thickness.
        poisson: Poisson's ratio.
        creep: deflection after hours over that at once.
        strength_mpa, crush_mpa: bending and crushing stress allowed for hours.
        tolerance_mm: the part's, against which a deflection is held.
        pressure_mpa: of the air, inside the bag.
    """

    board: Board
    poisson: float
    creep: float
    strength_mpa: float
    crush_mpa: float
    tolerance_mm: float
    pressure_mpa: float

    def stiffness(self, thickness_mm: float) -> float:
        """D of a plate of it, N·mm."""
        return plate_stiffness_n_mm(self.board.modulus_mpa, thickness_mm, self.poisson)

    def bent(self, what: str, span_mm: float, thickness_mm: float, bent: Bent) -> StrengthCheck:
        """A plate under load as a check."""
        return self.check(what, span_mm, thickness_mm, bent.deflection_mm, bent.stress_mpa(thickness_mm))

    def check(
        self, what: str, span_mm: float, thickness_mm: float, at_once_mm: float, stress_mpa: float
    ) -> StrengthCheck:
        """A check from the deflection at once, which grows by creep, and a bending stress."""
        return StrengthCheck(
            what=what,
            span_mm=span_mm,
            thickness_mm=thickness_mm,
            deflection_mm=self.creep * at_once_mm,
            deflection_limit_mm=self.tolerance_mm,
            stress_mpa=stress_mpa,
            stress_limit_mpa=self.strength_mpa,
        )

    def crush(self, what: str, span_mm: float, thickness_mm: float, stress_mpa: float) -> StrengthCheck:
        """A check of crushing alone."""
        return StrengthCheck(
            what=what,
            span_mm=span_mm,
            thickness_mm=thickness_mm,
            deflection_mm=0.0,
            deflection_limit_mm=self.tolerance_mm,
            stress_mpa=stress_mpa,
            stress_limit_mpa=self.crush_mpa,
        )


def material_of(pressing: Pressing) -> Material:
    """The board of the recipe's sheet."""
    recipe = pressing.recipe
    shop, mdf = recipe.shop, board(recipe.sheet.thickness_mm)
    share = figure("mdf_strength_share", shop).value
    return Material(
        board=mdf,
        poisson=figure("mdf_poisson", shop).value,
        creep=figure("mdf_creep_share", shop).value,
        strength_mpa=share * mdf.strength_mpa,
        crush_mpa=share * figure("mdf_crush_mpa", shop).value,
        tolerance_mm=recipe.part.tolerance_mm,
        pressure_mpa=pressing.pressure_kpa / 1000.0 if pressing.form_in_bag else 0.0,
    )
