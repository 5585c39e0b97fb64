"""Stage `curve`: the arch `drawing`, one open path read from a DXF that lies beside the recipe.

In: the file, in the units that it declares or that the recipe gives. Out: the path in mm from the right to the left
end, legs included where they are drawn. ELLIPSE and SPLINE become arcs within 0.005 mm. What the program cannot bend
is refused; text, dimensions and blocks are passed over with a note.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Literal

import numpy as np

from formgen.curve.arch import Fit, worst_fit
from formgen.curve.drawn.choose import Chosen, choose, only_inside
from formgen.curve.drawn.contents import in_words
from formgen.curve.drawn.ends import JOIN_MM, JOIN_RAD
from formgen.curve.drawn.file import Opened, beside, opened
from formgen.curve.drawn.paper import Paper
from formgen.errors import CurveError
from formgen.findings import Finding, finding
from formgen.geometry.arcspline import ArcSpline
from formgen.lengths import Units
from formgen.recipe.arch_kinds import Drawing
from formgen.units import LENGTH_MM

#: No more points than this are held against the joined path.
_MOST_PROBES = 400

#: A part is about so large (mm): what tells one unit from another.
_LIKELY_MM = (100.0, 15_000.0)


def read_drawing(
    ask: Drawing, folder: Path, units: Units, face: Literal["inside", "centre", "outside"] | None = None
) -> tuple[ArcSpline, Fit, tuple[Finding, ...]]:
    """The path in a drawing, how far it was moved to make it smooth, and what somebody must know about it.

    Args:
        ask: file, and what of it.
        folder: where the recipe lies.
        units: in which the findings are written.
        face: of the part that the path is said to be; None where nobody says.

    Raises:
        CurveError: a file outside the folder, missing or no DXF; no unit; anything but one open, smooth, flat path.
    """
    drawing = opened(beside(folder, ask.file), f"part.arch.file = {ask.file!r}")
    unit = ask.units or drawing.unit
    if unit is None:
        raise CurveError(which_units(drawing, ask))
    try:
        chosen = choose(Paper(drawing, float(LENGTH_MM[unit])), ask)
    except CurveError as err:
        said = str(err)
        raise CurveError(said if said.startswith("part.arch") else f"{drawing.name}: {said}") from err
    joined = chosen.joined
    probes = np.concatenate([part.probes for part in chosen.parts])
    every = math.ceil(len(probes) / _MOST_PROBES)
    fit, _ = worst_fit(joined.curve, probes[::every], len(chosen.parts), "drawing")
    return joined.curve, fit, tuple(_findings(drawing, ask, chosen, fit, units, face))


def which_units(drawing: Opened, ask: Drawing) -> str:
    """The question for the unit of a drawing: how large the path would be in each."""
    says = f"is drawn in unit number {drawing.code} ($INSUNITS)" if drawing.code else "does not say its units"
    paper = Paper(drawing, 1.0)
    try:
        x0, y0, x1, y1 = choose(paper, ask).joined.curve.bounds
    except CurveError:  # the unit is asked for first: what else is wrong is said when there are sizes to say it in
        inside = only_inside(paper, ask.layer)
        boxes = [path.bounds for path in paper.paths(ask.layer, outside=not inside, inside=inside)]
        if not boxes:
            raise
        x0, y0 = (min(box[i] for box in boxes) for i in (0, 1))
        x1, y1 = (max(box[i] for box in boxes) for i in (2, 3))
    width, height = x1 - x0, y1 - y0
    choices = units_for(max(width, height))
    sizes = [f"{number_text(max(width, height))} {unit}" for unit in choices]
    lines = [f"units: {unit}" for unit in choices]
    return (
        f"{drawing.name} {says}; what is drawn is {number_text(width)} wide and {number_text(height)} high: "
        f"{_either(sizes)}? write {_either(lines)} under part.arch"
    )


def units_for(number: float) -> tuple[str, ...]:
    """Units in which a part could be drawn whose size is this number: in and mm, others where neither is likely."""
    likely = [u for u in ("in", "mm", "m", "ft", "cm") if _LIKELY_MM[0] <= number * LENGTH_MM[u] <= _LIKELY_MM[1]]
    return tuple(dict.fromkeys(("in", "mm", *(() if {"in", "mm"} & {*likely} else likely))))


def number_text(number: float) -> str:
    """A number of a drawing, short."""
    return f"{round(number, 3) + 0.0:.7g}"


def _either(words: list[str]) -> str:
    return f"{', '.join(words[:-1])} or {words[-1]}"


def _findings(
    drawing: Opened, ask: Drawing, chosen: Chosen, fit: Fit, units: Units, face: str | None
) -> Iterator[Finding]:
    file, joined = ask.file, chosen.joined
    if ask.units and drawing.unit and ask.units != drawing.unit:
        yield finding("curve.drawing-units", units, file=file, said=drawing.unit, taken=ask.units)
    if chosen.by:
        where = "block" if chosen.block else "layer"
        several: dict[str, dict[str, Any]] = {
            "near": {"paths": chosen.paths},
            "line": {"paths": chosen.paths, "line": ask.line},
        }
        yield finding(
            "curve.drawing-taken", units, chosen.by,
            value=None if chosen.by == "block" else chosen.apart_mm, file=file, length=joined.curve.length_mm,
            where=where, layer=chosen.layer, block=chosen.block, **several.get(chosen.by, {}),
        )  # fmt: skip
    right = {"inner": "inside", "outer": "outside"}.get(ask.line or "")
    if right and face in {"inside", "outside"} - {right}:
        yield finding("curve.drawing-face", units, line=ask.line, face=face, right=right)
    for end in chosen.loose:
        values: dict[str, Any] = {"file": file, "x": end.at_mm[0], "y": end.at_mm[1]}
        if end.apart_mm > JOIN_MM:
            yield finding("curve.drawing-goes-on", units, "gap", value=end.apart_mm, limit=JOIN_MM, **values)
        elif end.corner_rad > JOIN_RAD:
            yield finding("curve.drawing-goes-on", units, "corner", corner=end.corner_rad, **values)
        else:
            yield finding("curve.drawing-goes-on", units, "fork", **values)
    if chosen.passed:
        yield finding("curve.drawing-passed-over", units, file=file, things=in_words(chosen.passed))
    if joined.healed:
        yield finding(
            "curve.drawing-healed",
            units,
            value=fit.worst_mm,
            limit=0.01,
            joints=joined.healed,
            file=file,
            gap=joined.widest_mm,
            corner=joined.sharpest_rad,
        )
