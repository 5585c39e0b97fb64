"""Departures off the form, the program's beside those of the independent model, for every shipped recipe.

Run by hand: `python -m tests.holding.off_form.compare`. Outside positive; mm; outside the bag only.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from formgen.form.model import Form
from formgen.holding.off_form.advice import OffForm, friction_range, off_the_form
from formgen.holding.off_form.hanging import Hanging
from formgen.holding.spreader_bar import BarSetting, across_mm, measured_offset_mm
from formgen.laminate.plies import Laminate
from formgen.pipeline import run
from formgen.recipe.load import load_recipe
from tests.holding.off_form.plies import Plies, hang

RECIPES = Path(__file__).parents[3] / "recipes"


@dataclass(frozen=True, kw_only=True)
class Pair:
    """What both models say: (outside, inside) in the bag and finished, the finished span, all mm, and the pull."""

    program: tuple[float, ...]
    independent: tuple[float, ...]

    @property
    def agree(self) -> bool:
        """Departures within 10 % or 0.05 mm, whichever is more; the pull within 10 % or 0.01 N/mm.

        The span is what two departures of opposite sign leave, so that it is held to the same share of the finished
        part's greater departure.
        """
        away, (span, pull) = self.independent[:4], self.independent[4:]
        bounds = [max(0.1 * mm, 0.05) for mm in away]
        bounds += [max(0.1 * abs(span), 0.1 * max(away[2:]), 0.05), max(0.1 * pull, 0.01)]
        return all(abs(a - b) <= bound for a, b, bound in zip(self.program, self.independent, bounds, strict=True))


def plies_of(laminate: Laminate, shear_mpa: float, holder: BarSetting | None, count: int = 400) -> Plies:
    """The same part for the independent model."""
    return Plies(
        pressed=laminate.pressed,
        thickness_mm=np.array([p.thickness_mm for p in laminate.plies]),
        modulus_mpa=np.array([p.modulus_mpa for p in laminate.plies]),
        shear_mpa=shear_mpa,
        held_mm=None if holder is None else holder.stations_mm,
        offset_mm=0.0 if holder is None else holder.face_offset_mm,
        count=count,
    )


def pair_of(
    laminate: Laminate,
    found: Hanging,
    pressure_kpa: float,
    holder: BarSetting | None,
    stages: int = 1,
    count: int = 400,
) -> Pair:
    """Both models' numbers for one friction."""
    other = hang(plies_of(laminate, found.friction * pressure_kpa / 1000.0, holder, count), stages)
    face = measured_offset_mm(laminate)
    wanted = across_mm(laminate.arch.target, laminate.springing_mm, face)
    outside, inside, span = other.released(laminate.arch.target, laminate.springing_mm, face)
    return Pair(
        program=(found.in_bag.outside_mm, found.in_bag.inside_mm, found.finished.outside_mm, found.finished.inside_mm,
                 found.finished.span_change_mm, found.force_n_per_mm),
        independent=(*other.away_mm, outside, inside, span - wanted, other.force_n_per_mm),
    )  # fmt: skip


def shipped() -> list[tuple[str, Form]]:
    """Every shipped recipe that is pressed outside the bag."""
    paths = [*sorted(RECIPES.glob("*.yaml")), *sorted((RECIPES / "decisions").glob("*.yaml"))]
    made = [(p.stem, run(load_recipe(p, RECIPES / "shop.yaml"))) for p in paths if p.stem != "shop"]
    return [(name, form) for name, form in made if form.off is not None]


def states_of(form: Form) -> OffForm:
    """The part at the least, the usual and the most friction."""
    pressing = form.pressing
    frictions = friction_range(pressing.recipe.shop)
    return off_the_form(pressing, form.bar.touch.height_mm if form.bar else None, frictions=frictions)


def rows() -> list[str]:
    """A line for each recipe and friction."""
    heads = ("recipe", "held by", "μ", "in the bag: outside", "inside", "finished: outside", "inside", "span", "N/mm")
    out = [" | ".join(heads), " | ".join("---" for _ in heads)]
    for name, form in shipped():
        off, laminate = states_of(form), form.laminate
        for state in (off.least, off.usual, off.most):
            pair = pair_of(laminate, state, off.pressure_kpa, off.bar, count=800)  # at 400 one span is 4 % off
            cells = [f"{a:.2f} / {b:.2f}" for a, b in zip(pair.program, pair.independent, strict=True)]
            mark = "" if pair.agree else " !"
            out.append(" | ".join([name, off.held_by, f"{state.friction:.1f}{mark}", *cells]))
    return out


if __name__ == "__main__":
    print("\n".join(rows()))  # noqa: T201 -- a table for whoever runs it
