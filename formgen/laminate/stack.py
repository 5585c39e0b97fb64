"""Stage `laminate`: from the arch to the plies and the curve that they are pressed to.

In: an Arch. Out: a Laminate, in mm, MPa and ratios. It says nothing of forms, films or clamps.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from formgen.curve.arch import Arch
from formgen.curve.arcspline import ArcSpline
from formgen.curve.frame import levelled
from formgen.errors import CurveError, LaminateError
from formgen.findings import Finding, Severity
from formgen.laminate.plies import Laminate, Ply
from formgen.laminate.springback import pressed_curvature_factor, spring_back_ratio
from formgen.recipe.catalogue import wood
from formgen.recipe.model import Recipe
from formgen.recipe.schema import PlyGroup


def make_laminate(arch: Arch) -> Laminate:
    """The stack of plies, its spring-back and the pressed curve.

    Raises:
        LaminateError: a single ply; a ply that would be bent about its own face.
    """
    groups = _groups(arch.recipe)
    shop = arch.recipe.shop
    thicknesses = [g.thickness_mm for g in groups]
    moduli: list[float] = []
    strengths: list[float | None] = []
    names: list[str] = []
    for g in groups:
        if g.wood is None:
            moduli.append(g.modulus_mpa or math.nan)
            strengths.append(None)
            names.append("modulus given")
            continue
        entry = wood(g.wood, shop)
        moduli.append(g.modulus_mpa or entry.modulus_mpa)
        strengths.append(entry.strength_mpa)
        names.append(g.wood)
    s = spring_back_ratio(moduli, thicknesses)
    try:
        pressed = arch.target.scaled_curvature(pressed_curvature_factor(s))
        pressed = levelled(pressed, arch.springing_mm, arch.two_legged)
        plies = tuple(
            _ply(i, names[i], thicknesses, moduli[i], strengths[i], pressed, arch) for i in range(len(groups))
        )
    except CurveError as err:
        raise LaminateError(f"the plies cannot be pressed to the curve that spring-back asks for: {err}") from err
    return Laminate(
        arch=arch,
        plies=plies,
        thickness_mm=math.fsum(thicknesses),
        spring_back=s,
        pressed=pressed,
        springing_mm=arch.springing_mm,
        findings=tuple(_bend_findings(plies)),
    )


def _groups(recipe: Recipe) -> list[PlyGroup]:
    """One group for every ply, from the inside face outward, wood and modulus filled in from the laminate's."""
    ask = recipe.asked.laminate
    if isinstance(ask.plies, int):
        if ask.thickness_mm is None:
            raise LaminateError(f"laminate.plies = {ask.plies}, expected laminate.thickness beside it: give the part's thickness")
        thickness = ask.thickness_mm / ask.plies
        return [PlyGroup.model_construct(count=1, thickness_mm=thickness, wood=ask.wood, modulus_mpa=ask.modulus_mpa)] * ask.plies
    return [
        PlyGroup.model_construct(
            count=1,
            thickness_mm=g.thickness_mm,
            wood=g.wood or (None if g.modulus_mpa else ask.wood),
            modulus_mpa=g.modulus_mpa or (None if g.wood else ask.modulus_mpa),
        )
        for g in ask.plies
        for _ in range(g.count)
    ]


def _ply(
    index: int,
    name: str,
    thicknesses: list[float],
    modulus_mpa: float,
    strength_mpa: float | None,
    pressed: ArcSpline,
    arch: Arch,
) -> Ply:
    t = thicknesses[index]
    whole = math.fsum(thicknesses)
    offset = whole / 2.0 - math.fsum(thicknesses[:index]) - t / 2.0
    own = pressed.parallel(offset)
    radius = own.tightest_radius_mm
    # A ply is bent about its own middle; its concave face must still have a radius.
    if radius <= t / 2.0:
        raise LaminateError(f"ply {index + 1} of {t:.2f} mm has a radius of {radius:.2f} mm in the press, "
                            "expected more than half its thickness: use thinner plies or a larger radius")
    mitres = math.fsum(whole / 2.0 * math.tan(abs(lean)) for lean in arch.mitre_rad)
    trims = 2.0 * arch.recipe.asked.part.end_trim_mm
    return Ply(
        number=index + 1,
        wood=name,
        thickness_mm=t,
        modulus_mpa=modulus_mpa,
        strength_mpa=strength_mpa,
        offset_mm=offset,
        length_mm=own.length_mm + trims + mitres,
        radius_mm=radius,
        strain=t / (2.0 * radius),
        strain_limit=None if strength_mpa is None else strength_mpa / modulus_mpa,
    )


def _bend_findings(plies: Iterable[Ply]) -> Iterable[Finding]:
    """The ply nearest to its limit, where it is past it or within a quarter of it."""
    known = [p for p in plies if p.strain_limit is not None]
    if not known:
        yield Finding(
            code="laminate.no-strength",
            severity=Severity.NOTE,
            message="Only a modulus was given, so nothing is known about breaking: bend one spare ply over the dry form first.",
        )
        return
    worst = max(known, key=lambda p: p.strain / (p.strain_limit or math.inf))
    limit = worst.strain_limit or math.inf
    if worst.strain <= 0.75 * limit:
        return
    past = worst.strain > limit
    yield Finding(
        code="laminate.ply-strain",
        severity=Severity.PROBLEM if past else Severity.WARNING,
        message=(
            f"Ply {worst.number} ({worst.wood}, {worst.thickness_mm:.2f} mm) "
            f"{'is bent past' if past else 'comes close to'} its breaking strain at R {worst.radius_mm:.0f} mm: "
            "use thinner plies, another wood or a larger radius, and bend a spare ply first."
        ),
        value=worst.strain,
        limit=limit,
        source="strain t/(2R) against MOR/E of clear wood, Wood Handbook FPL-GTR-282, Table 5-3a",
    )
