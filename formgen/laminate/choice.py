"""Stage `laminate`: `plies: auto`, how many equal plies a wood, a thickness and a curve ask for, and why.

In: an Arch whose recipe leaves the number open. Out: the number, and a note that says why and names the runner-up.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from formgen.curve.arch import Arch
from formgen.errors import LaminateError
from formgen.findings import Finding, finding, phrase
from formgen.fixed import fixed
from formgen.laminate.moisture import chord_mm
from formgen.laminate.springback import adjusted_ratio, pressed_curvature_factor, spring_back_ratio
from formgen.laminate.stock import asked_stocks
from formgen.lengths import Units, write_fine, write_length
from formgen.recipe.catalogue import veneers
from formgen.recipe.model import Recipe

#: Share of the breaking strain that a ply may be bent to. Two standard deviations below the mean of a strength that
#: scatters by 16 % leave 0.68 of it (Wood Handbook, Table 5-6, from memory); two thirds is common practice, no source.
STRAIN_SHARE = 2.0 / 3.0
#: Fewer than three plies spring badly. Common practice, no source.
LEAST_PLIES = 3
#: What a saw and planer make of a board without trouble (mm). Common practice, no source.
RESAW_MM = (1.5, 6.0)
#: How near a ply must come to a thickness that the shop lists (mm).
LISTED_WITHIN_MM = 0.1
#: How far a spring-back that nobody measured may be off, as a share of itself. Common practice, no source.
SPRING_BACK_DOUBT = 0.2


@fixed
class Candidate:
    """A number of equal plies, weighed.

    Args:
        count: how many.
        thickness_mm: of each.
        strain_share: strain of the innermost ply at its tightest over its breaking strain.
        spring_back: s, factors included.
        doubt_mm: how far the ends would be off if s were off by a fifth.
    """

    count: int
    thickness_mm: float
    strain_share: float
    spring_back: float
    doubt_mm: float

    @property
    def bends(self) -> bool:
        """True if it keeps within the share of the breaking strain."""
        return self.strain_share <= STRAIN_SHARE


def choose(arch: Arch, glue_line_stiffness: float, relaxation: float) -> tuple[int, Finding]:
    """The fewest plies that bend with the margin, and why.

    Args:
        arch: the target.
        glue_line_stiffness: γ.
        relaxation: ρ.

    Raises:
        LaminateError: no ply that can be had goes into the thickness, or none bends to the curve.
    """
    thickness, units = arch.thickness_mm, arch.recipe.units
    counts = list(possible_counts(thickness, arch.recipe.shop.ply_thicknesses_mm))
    if not counts:
        raise LaminateError(_nothing_fits(thickness, arch.recipe.shop.ply_thicknesses_mm, units))
    least_count = arch.recipe.asked.laminate.least_plies
    if counts[-1] < least_count:
        raise LaminateError(
            f"laminate.least_plies = {least_count}, expected at most {counts[-1]}: more plies in "
            f"{write_fine(thickness, units)} are thinner than can be had; lower it, or list veneers under "
            "shop.ply_thicknesses"
        )
    weighed = [weigh(n, arch, glue_line_stiffness, relaxation) for n in counts]
    good = [c for c in weighed if c.bends and c.count >= least_count]
    if not good:
        least = min(weighed, key=lambda c: c.strain_share)
        typed = "laminate.plies" not in arch.recipe.taken
        wood = f"laminate.wood = {arch.recipe.asked.laminate.wood}, no ply of it bends this tight"
        raise LaminateError(
            f"{'laminate.plies = auto, no ply bends' if typed else wood}: {least.count} of "
            f"{write_fine(least.thickness_mm, units)} come to "
            f"{100.0 * least.strain_share:.0f} % of their breaking strain, expected at most "
            f"{100.0 * STRAIN_SHARE:.0f} %; list thinner plies under shop.ply_thicknesses (veneers of "
            f"{_veneers(units)} are sold), or take another wood"
        )
    return good[0].count, _why(good[0], weighed, arch.recipe)


def possible_counts(thickness_mm: float, choices_mm: tuple[float, ...] | None) -> Iterable[int]:
    """Numbers of equal plies, rising, of a thickness that can be had.

    Args:
        thickness_mm: of the part.
        choices_mm: thicknesses of the shop; None for anything that a saw makes.
    """
    thinnest = min(choices_mm) if choices_mm else RESAW_MM[0]
    for n in range(LEAST_PLIES, math.floor(thickness_mm / (thinnest - LISTED_WITHIN_MM)) + 1):
        t = thickness_mm / n
        if choices_mm is None:
            if RESAW_MM[0] - 1e-9 <= t <= RESAW_MM[1] + 1e-9:
                yield n
        elif any(abs(t - choice) <= LISTED_WITHIN_MM for choice in choices_mm):
            yield n


def weigh(count: int, arch: Arch, glue_line_stiffness: float, relaxation: float) -> Candidate:
    """Strain and spring-back of so many equal plies; a strain share of infinity where they cannot lie so tight."""
    stocks = asked_stocks(arch.recipe, count)
    t = stocks[0].thickness_mm
    elastic = spring_back_ratio([s.modulus_mpa for s in stocks], [s.thickness_mm for s in stocks])
    s = adjusted_ratio(elastic, glue_line_stiffness, relaxation)
    pressed = arch.target.scaled_curvature(pressed_curvature_factor(s))
    limit = stocks[0].strain_limit
    # The innermost ply of a bend to either side is the tightest.
    radius = pressed.tightest_radius_mm - arch.thickness_mm / 2.0 + t / 2.0
    if limit is None:
        raise LaminateError(
            "laminate.plies = auto, expected a wood, whose strength chooses the plies; add laminate.wood"
        )
    share = t / (2.0 * radius) / limit if radius > t / 2.0 else math.inf
    off = (1.0 - (1.0 + SPRING_BACK_DOUBT) * s) / (1.0 - s)
    doubt = abs(chord_mm(arch.target.scaled_curvature(off), arch) - chord_mm(arch.target, arch))
    return Candidate(count=count, thickness_mm=t, strain_share=share, spring_back=s, doubt_mm=doubt)


def _why(chosen: Candidate, weighed: list[Candidate], recipe: Recipe) -> Finding:
    place, units = weighed.index(chosen), recipe.units
    reason, fewer = "bend", {"fewer": "none"}
    if place:
        before = weighed[place - 1]
        fewer = {"fewer": "least" if before.bends else "weaker", "before": _said(before, units)}
        if before.bends:
            reason = "settled" if "laminate.least_plies" in recipe.taken else "asked"
    last = place + 1 == len(weighed)
    more = {"more": "none"} if last else {"more": "next", "after": _said(weighed[place + 1], units)}
    return finding(
        "laminate.plies-chosen",
        units,
        value=chosen.strain_share,
        limit=STRAIN_SHARE,
        chosen=_said(chosen, units),
        reason=reason,
        **fewer,
        **more,
    )


def _said(candidate: Candidate, units: Units) -> str:
    return phrase(
        "laminate.plies-chosen",
        "candidate",
        units,
        count=candidate.count,
        thickness=candidate.thickness_mm,
        share=candidate.strain_share,
        spring_back=candidate.spring_back,
        doubt=candidate.doubt_mm,
    )


def _veneers(units: Units) -> str:
    """The thicknesses in which veneer is sold."""
    *rest, last = (write_fine(veneer.thickness_mm, units) for veneer in veneers().values())
    return f"{', '.join(rest)} and {last}"


def _nothing_fits(thickness_mm: float, choices_mm: tuple[float, ...] | None, units: Units) -> str:
    if choices_mm is None:
        least = LEAST_PLIES * RESAW_MM[0]
        return (
            f"laminate.thickness = {write_fine(thickness_mm, units)}, expected at least "
            f"{write_length(least, units)} for three sawn plies; "
            f"list veneers under shop.ply_thicknesses ({_veneers(units)} are sold), or the plies yourself"
        )
    sums = [(max(LEAST_PLIES, round(thickness_mm / choice)), choice) for choice in choices_mm]
    n, choice = min(sums, key=lambda pair: abs(pair[0] * pair[1] - thickness_mm))
    return (
        f"laminate.plies = auto, no thickness in shop.ply_thicknesses goes into {write_fine(thickness_mm, units)}, "
        f"expected for example {n} × {write_fine(choice, units)} = {write_fine(n * choice, units)}; "
        "change laminate.thickness"
    )
