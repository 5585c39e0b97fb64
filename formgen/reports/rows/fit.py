"""Stage `reports`: how a curve meets what it was measured or drawn by, and how every other curve would.

In: an Arch. Out: (what, answer) rows in the recipe's units, misses as a caliper shows them.
"""

from __future__ import annotations

from collections.abc import Iterable

from formgen.curve.arch import Arch, Compared, Fit
from formgen.curve.measured.given import Readings, readings_of
from formgen.lengths import Units, write_fine, write_length
from formgen.recipe.arch_kinds import Points

Row = tuple[str, str]
#: Of a curve of more arcs than this the least and the greatest radius are told.
_NAMED_ARCS = 4


def fit_rows(arch: Arch) -> Iterable[Row]:
    """Rows of the fit; none for an arch by its sizes."""
    fit, units, ask = arch.fit, arch.recipe.units, arch.recipe.asked.part.arch
    if fit is None:
        return
    if not isinstance(ask, Points):
        x, y = (write_length(v, units) for v in fit.at_mm)
        worst = write_length(fit.worst_mm, units)
        yield "fit", f"{fit.what} through {fit.count} points, worst {worst} at x {x}, y {y}"
        return
    given = readings_of(ask)
    yield "fit", f"{fit.what} through {fit.count} readings{_why(fit, units)}; {_worst(fit, given, units)}"
    for row in fit.compared:
        yield f"as {_with_article(row.what)}", _compared(row, given, taken=row.what == fit.what, units=units)
    for left in fit.left_out:
        off = write_fine(left.off_mm, units)
        yield f"left out, {left.number}", f"{given.name(left.number, units)}: {off} off the curve"


def _why(fit: Fit, units: Units) -> str:
    if fit.within_mm is None:
        return ""
    within = write_fine(fit.within_mm, units)
    return f", the simplest within {within}" if fit.taken == "within" else f", the nearest: none keeps {within}"


def _worst(fit: Fit, given: Readings, units: Units) -> str:
    return f"worst {write_fine(fit.worst_mm, units)} at {given.name(fit.worst_reading or 0, units)}"


def _compared(row: Compared, given: Readings, *, taken: bool, units: Units) -> str:
    if row.worst_mm is None or row.mean_mm is None:
        return f"none: {row.why_not}"
    radii = [write_length(r, units) for r in row.radii_mm]
    worst, mean = write_fine(row.worst_mm, units), write_fine(row.mean_mm, units)
    radius = f"R {(' to ' if row.arcs > _NAMED_ARCS else ', ').join(radii)}"
    arcs = f"{row.arcs} arc{'' if row.arcs == 1 else 's'}{'; taken' if taken else ''}"
    return f"misses {worst} at most ({given.noun} {row.worst_reading}), {mean} in the mean; {radius}; {arcs}"


def _with_article(what: str) -> str:
    return f"{'an' if what[0] in 'aeiou' else 'a'} {what}"
