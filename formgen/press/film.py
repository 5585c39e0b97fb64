"""Stage `press`: the bag's film between part and form, the folds that it gathers in a hollow, and the side they decide.

In: the pressed centre line, the part's thickness, the film's. Out: the folds' allowance and the form side; mm, rad.
Only the bag's own film gathers: it goes round the part whole, while sheets cut to size lie flat.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from formgen.curve.arcspline import ArcSpline
from formgen.findings import Finding, Severity
from formgen.lengths import Units, write_fine

Side = Literal["male", "female"]
SOURCE = "geometry: sweep × (part + film) of film too much on the hollow side, each fold two films thicker"


@dataclass(frozen=True, kw_only=True)
class FilmFolds:
    """Folds of the bag's film on the form's side of the part.

    Args:
        film_mm: thickness of the film that gathers; 0 where none lies there.
        sweep_rad: turning of the stretches whose form side is hollow.
        gathered_mm: length of film too much there.
        least_mm: what the folds add between part and form at the least: where none lies.
        most_mm: what they add at the most: two films, where one lies.
        covered_share: the part of the length that lies on folds, if every fold lies flat, 0 to 1.
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
        film_mm: of the bag's film between part and form, 0 for none.
        side: the form's side.

    Assumptions:
        The bag is made up flat and drawn over the part with it, so that both films have the length of the flat part;
        the film neither stretches nor slides off the ends, and lies flat in folds that are three films thick where
        one was. On the convex side it is drawn smooth. A fold that is w long takes 2w of film and covers w.

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

    Male, unless folds would break the tolerance there and fewer films would lie on one another on a female form.
    """
    most, tolerance = write_fine(male.most_mm, units), write_fine(tolerance_mm, units)
    if male.most_mm <= tolerance_mm:
        return "male", (
            f"folds add {most} at most on a male form, within the part's {tolerance}"
            if male.most_mm
            else "no film gathers on a male form"
        )
    if female.most_mm < male.most_mm:
        return "female", (
            f"folds would add up to {most} on a male form, over the part's {tolerance}; "
            "on a female form the film is drawn smooth"
        )
    return "male", (f"the curve bends both ways, so folds add up to {most} on either side, over the part's {tolerance}")


def fold_findings(folds: FilmFolds, other: FilmFolds, side: Side, tolerance_mm: float) -> list[Finding]:
    """Folds that break the tolerance, with the way out."""
    if folds.most_mm <= tolerance_mm:
        return []
    way = (
        f"use a {'female' if side == 'male' else 'male'} form, on which the film is drawn smooth, or a thinner film"
        if other.most_mm < folds.most_mm
        else "use a thinner film, or put the form inside the bag"
    )
    return [
        Finding(
            code="press.film-folds",
            severity=Severity.WARNING,
            message=(
                f"On this {side} form film gathers into folds, and where one lies the "
                f"part stands off by two films: {way}."
            ),
            value=folds.most_mm,
            limit=tolerance_mm,
            unit="mm",
            source=f"part.tolerance; {SOURCE}",
        )
    ]
