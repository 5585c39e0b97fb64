"""Mending: other plies: more and thinner ones, fewer, or a panel turned or taken thinner.

In: a Holding. Out: values of `laminate.plies` to try. Equal plies are counted; of a list the thickest are split, so
that the part keeps its thickness.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import islice

from formgen.holding.model import Holding
from formgen.laminate.choice import LISTED_WITHIN_MM, RESAW_MM, possible_counts
from formgen.lengths import Units
from formgen.mending.trial import Try, word
from formgen.recipe.catalogue import panels
from formgen.recipe.schema import PlyGroup
from formgen.units import STRESS_MPA

PLIES = "laminate.plies"
#: So many numbers of plies are tried.
MOST_TRIED = 3


def thinner(form: Holding, times: float) -> Iterator[Try]:
    """Yield more and thinner plies.

    Args:
        form: as it was asked for.
        times: how many times as many are needed at the least.
    """
    asked = form.recipe.asked.laminate
    if isinstance(asked.plies, tuple):
        yield from _split(asked.plies, math.ceil(times - 1e-9), form.recipe.units)
        return
    now, own = len(form.laminate.plies), form.recipe.shop.ply_thicknesses_mm
    least = max(now + 1, math.ceil(now * times - 1e-6))
    counts = (n for n in possible_counts(form.arch.thickness_mm, own) if n >= least)
    yield from (word(PLIES, n) for n in islice(counts, MOST_TRIED))


def fewer(form: Holding, most: int) -> Iterator[Try]:
    """Yield fewer and thicker plies, the most of them first; none of a list, which somebody meant.

    Args:
        form: as it was asked for.
        most: how many at the most.
    """
    if isinstance(form.recipe.asked.laminate.plies, tuple):
        return
    possible = possible_counts(form.arch.thickness_mm, form.recipe.shop.ply_thicknesses_mm)
    counts = [n for n in possible if n <= min(most, len(form.laminate.plies) - 1)]
    yield from (word(PLIES, n) for n in counts[::-1][:MOST_TRIED])


def other_panels(form: Holding) -> Iterator[Try]:
    """Yield each panel turned with its face grain across the curve, then as more and thinner ones that are made."""
    groups = form.recipe.asked.laminate.plies
    if not isinstance(groups, tuple):
        return
    too_tight = {ply.wood for ply in form.laminate.plies if ply.radius_limit_mm and ply.radius_mm < ply.radius_limit_mm}
    for i, group in enumerate(groups):
        if group.panel is None or f"{group.panel}, face grain {group.grain}" not in too_tight:
            continue
        together_mm = group.count * group.thickness_mm
        rows = [row[0] for row in panels()[group.panel].layers if row[0] <= group.thickness_mm]
        for thickness in sorted(rows, reverse=True):
            count = round(together_mm / thickness)
            if count and abs(count * thickness - together_mm) <= LISTED_WITHIN_MM:
                other = group.model_copy(update={"count": count, "thickness_mm": thickness, "grain": "across"})
                if other != group:
                    yield _listed(groups, (*groups[:i], other, *groups[i + 1 :]), form.recipe.units)


def _split(groups: tuple[PlyGroup, ...], parts: int, units: Units) -> Iterator[Try]:
    """Yield the list with its thickest plies of wood split, as long as a saw makes them."""
    thickest = max((g.thickness_mm for g in groups if g.panel is None), default=0.0)
    for n in range(max(parts, 2), max(parts, 2) + MOST_TRIED):
        if thickest / n >= RESAW_MM[0] - 1e-9:
            yield _listed(groups, tuple(_finer(g, n) if g.thickness_mm == thickest else g for g in groups), units)


def _finer(group: PlyGroup, parts: int) -> PlyGroup:
    if group.panel is not None:
        return group
    # as it is written: to a micrometre, since the text is what will be read
    thickness = round(group.thickness_mm / parts, 3)
    return group.model_copy(update={"count": group.count * parts, "thickness_mm": thickness})


def _listed(before: tuple[PlyGroup, ...], groups: tuple[PlyGroup, ...], units: Units) -> Try:
    """The list to try; where one group of it changed, that alone is typed."""
    changed = [i for i, group in enumerate(groups) if group != before[i]]
    one = word(PLIES, groups, f"[{', '.join(_group(group, units) for group in groups)}]")
    if len(changed) > 1:
        return one
    (at,) = changed
    return replace(one, key=f"{PLIES}[{at + 1}]", text=_group(groups[at], units))


def _group(group: PlyGroup, units: Units) -> str:
    bare = f"{group.thickness_mm:.6g}"
    held = {
        "count": group.count if group.count > 1 else None,
        "thickness": bare if units == "mm" else f"{bare} mm",
        "wood": group.wood,
        "modulus": None if group.modulus_mpa is None else f"{group.modulus_mpa / float(STRESS_MPA['MPa']):.6g} MPa",
        "panel": group.panel,
        "grain": group.grain,
    }
    return f"{{{', '.join(f'{key}: {value}' for key, value in held.items() if value is not None)}}}"
