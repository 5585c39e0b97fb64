"""Stage `press`: the bag between part and form, the folds that it gathers in a hollow, and the side they decide.

In: the pressed centre line, the part's thickness, the bag's. Out: the folds' allowance and the form side; mm, rad.
Only a bag round the part alone gathers: it is drawn over the form with the part, while sheets cut to size lie flat.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Literal

from formgen.findings import Finding, finding, phrase
from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.lengths import Units

Side = Literal["male", "female"]


@fixed
class FilmFolds:
    """Folds of the bag on the form's side of the part.

    Args:
        film_mm: thickness of the sheet that gathers; 0 where none lies there.
        sweep_rad: turning of the stretches whose form side is hollow.
        gathered_mm: length of sheet too much there, at the most.
        least_mm: what the folds add between part and form at the least: where none lies.
        most_mm: what they add at the most: two sheets, where one lies.
        covered_share: the part of the length that lies on folds, if all of it is folded flat, 0 to 1.
    """

    film_mm: float
    sweep_rad: float
    gathered_mm: float
    least_mm: float
    most_mm: float
    covered_share: float


def film_folds(pressed: ArcSpline, thickness_mm: float, film_mm: float, side: Side) -> FilmFolds:
    """The folds on the form's side.

    Args:
        pressed: centre line in the press.
        thickness_mm: of the part.
        film_mm: of the bag's sheet between part and form, 0 for none.
        side: the form's side.

    Assumptions:
        The bag is made up flat round the flat stack and drawn over the form with it, so that both sheets have the
        length of the flat part; the inner one neither stretches nor slides off the ends, which is the most that
        gathers: whoever draws it smooth towards the ends has less. It lies flat in folds three sheets thick where one
        was; on the convex side it is drawn smooth. A fold that is w long takes 2w of sheet and covers w, so that on an
        arc (part + film)/(2R) of the length lies on folds: folds are as thick on a large radius, but few.

    Reference:
        Two parallel curves at distance d differ in length by sweep × d (geometry).
    """
    hollow = 1.0 if side == "male" else -1.0
    sweep = math.fsum(length * curvature * hollow for length, curvature in pressed.pieces if curvature * hollow > 0.0)
    gathers = film_mm > 0.0 and sweep > 0.0
    gathered = sweep * (thickness_mm + film_mm) if gathers else 0.0
    return FilmFolds(
        film_mm=film_mm,
        sweep_rad=sweep,
        gathered_mm=gathered,
        least_mm=0.0,
        most_mm=2.0 * film_mm if gathers else 0.0,
        covered_share=min(gathered / 2.0 / pressed.length_mm, 1.0),
    )


def choose_side(male: FilmFolds, female: FilmFolds, tolerance_mm: float, units: Units = "mm") -> tuple[Side, str]:
    """The side that `side: auto` takes, and why.

    Male, unless folds would break the tolerance there and fewer sheets would lie on one another on a female form.
    """
    side: Side = "male"
    if male.most_mm <= tolerance_mm:
        why = "within" if male.most_mm else "none"
    elif female.most_mm < male.most_mm:
        side, why = "female", "over"
    else:
        why = "both"
    values = {"most": male.most_mm, "covered": male.covered_share, "tolerance": tolerance_mm}
    return side, phrase("press.film-folds", "side", units, why, **values)


def fold_findings(
    folds: FilmFolds, other: FilmFolds, side: Side, tolerance_mm: float, units: Units
) -> Iterator[Finding]:
    """Folds that break the tolerance, with the way out."""
    if folds.most_mm <= tolerance_mm:
        return
    turned = "female" if side == "male" else "male"
    yield finding(
        "press.film-folds",
        units,
        value=folds.most_mm,
        limit=tolerance_mm,
        this=side,
        gathered=folds.gathered_mm,
        covered=folds.covered_share,
        bends="both" if other.most_mm >= folds.most_mm else "one",
        other=turned if other.most_mm < folds.most_mm else "neither",
    )
