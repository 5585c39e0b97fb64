"""Stage `curve`: the arch `drawing`, one open path read from a DXF that lies beside the recipe.

In: the file, in the units that it declares. Out: the path in mm from the right to the left end, legs included
where they are drawn. ELLIPSE and SPLINE become arcs within 0.005 mm. What the program cannot bend is refused.
"""

from __future__ import annotations

import math
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import TYPE_CHECKING

import numpy as np

from formgen.curve.arch import LONGEST_MM, Fit
from formgen.curve.drawn.entities import Drawn, drawn, layer_of
from formgen.curve.drawn.joining import Joined, join
from formgen.errors import CurveError
from formgen.findings import Finding, finding
from formgen.geometry.arcspline import ArcSpline, Array
from formgen.lengths import Units
from formgen.libraries import load_ezdxf
from formgen.quoted import escaped
from formgen.recipe.arch_kinds import Drawing
from formgen.units import LENGTH_MM

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

#: What $INSUNITS says, in the program's words.
_INSUNITS = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m"}

#: A drawing of one path has no more bytes, and no more entities in its model space.
LARGEST_BYTES, MOST_ENTITIES = 5_000_000, 500

#: No more points than this are held against the joined path.
_MOST_PROBES = 400


def read_drawing(ask: Drawing, folder: Path, units: Units) -> tuple[ArcSpline, Fit, tuple[Finding, ...]]:
    """The path in a drawing, how far it was moved to make it smooth, and what somebody must know about it.

    Args:
        ask: file and layer.
        folder: where the recipe lies.
        units: the recipe's units, taken for a drawing that declares none.

    Raises:
        CurveError: a file outside the folder, missing or no DXF; anything but one open, smooth, flat path.
    """
    path = _inside(folder, ask.file)
    document = _document(path, ask.file)
    unit, findings = _unit(document, ask.file, units, says=b"$INSUNITS" in path.read_bytes())
    parts = _entities(document, ask, float(LENGTH_MM[unit]))
    joined = join([stretch for part in parts for stretch in part.stretches])
    probes = np.concatenate([part.probes for part in parts])
    fit = _fit(joined.curve, probes[:: math.ceil(len(probes) / _MOST_PROBES)], len(parts))
    if joined.healed:
        findings = (*findings, _mended(joined, fit, ask.file, units))
    return joined.curve, fit, findings


def _inside(folder: Path, file: str) -> Path:
    """The file's path, which must lie in the recipe's folder or below."""
    parts = {*PurePosixPath(file).parts, *PureWindowsPath(file).parts}
    path = folder / file
    absolute = PurePosixPath(file).is_absolute() or bool(PureWindowsPath(file).anchor)
    if absolute or ".." in parts or not path.resolve().is_relative_to(folder.resolve()):
        raise CurveError(
            f"part.arch.file = {file!r} leads out of the recipe's folder, expected a file in it; copy the drawing "
            "beside the recipe"
        )
    if not path.is_file():
        raise CurveError(
            f"part.arch.file = {file!r} is not in the recipe's folder, expected a DXF file there; check the name"
        )
    return path


def _document(path: Path, file: str) -> Document:
    load_ezdxf()
    from ezdxf.filemanagement import readfile

    if path.stat().st_size > LARGEST_BYTES:
        raise CurveError(
            f"part.arch.file = {file!r} has more than {LARGEST_BYTES // 1_000_000} MB, expected one path; save the "
            "path alone in a drawing of its own"
        )
    try:
        return readfile(path)
    except Exception as err:  # a broken file makes the library raise whatever its parser trips over
        raise CurveError(
            f"part.arch.file = {file!r} cannot be read as a DXF, expected a drawing in that format; save it again "
            "as DXF"
        ) from err


def _unit(document: Document, file: str, units: Units, *, says: bool) -> tuple[str, tuple[Finding, ...]]:
    """The unit of the drawing's coordinates; where the file says none the library makes one up."""
    code = int(document.header.get("$INSUNITS", 0)) if says else 0
    if code in _INSUNITS:
        return _INSUNITS[code], ()
    if code:
        raise CurveError(
            f"part.arch.file = {file!r} is drawn in unit number {code} ($INSUNITS), expected in, ft, mm, cm or m; "
            "save it in one of these"
        )
    return units, (finding("curve.drawing-units", units, file=file, taken=units),)


def _entities(document: Document, ask: Drawing, scale: float) -> list[Drawn]:
    """Everything in the model space, on the asked layer if there is one, as stretches in mm."""
    every = [(e, layer_of(e)) for e in document.modelspace()]
    entities = [e for e, layer in every if ask.layer is None or layer.lower() == ask.layer.lower()]
    if len(entities) > MOST_ENTITIES:
        raise CurveError(
            f"part.arch.file = {ask.file!r} has {len(entities)} entities, expected one path of at most "
            f"{MOST_ENTITIES}; put the path on a layer of its own and name it under `layer`"
        )
    if not entities:
        layers = sorted({layer for _, layer in every})
        more = f" and {len(layers) - 5} more" if len(layers) > 5 else ""
        there = f"; there is something on: {', '.join(escaped(name) for name in layers[:5])}{more}" if layers else ""
        on = f" on layer {ask.layer!r}" if ask.layer is not None else ""
        raise CurveError(
            f"part.arch.file = {ask.file!r} has nothing in its model space{on}, expected one open path{there}"
        )
    parts = [drawn(entity, scale) for entity in entities]
    if sum(len(part.stretches) for part in parts) > MOST_ENTITIES:
        raise CurveError(
            f"part.arch.file = {ask.file!r} has more than {MOST_ENTITIES} lines and arcs, expected one smooth path; "
            "draw it with fewer"
        )
    length_mm = sum(stretch.length_mm for part in parts for stretch in part.stretches)
    if length_mm > LONGEST_MM:
        raise CurveError(
            f"part.arch.file = {ask.file!r} has a path of {length_mm / 1000:.0f} m, expected at most "
            f"{LONGEST_MM // 1000} m; look at the units of the drawing"
        )
    heights = np.concatenate([part.heights_mm for part in parts])
    if not len(heights):
        raise CurveError(
            f"part.arch.file = {ask.file!r} has polylines without a point, expected one open path; draw it again"
        )
    if float(np.ptp(heights)) > 0.01:
        raise CurveError(
            f"part.arch.file = {ask.file!r} is not flat: heights z from {heights.min():.3f} to "
            f"{heights.max():.3f} mm, expected one height; project it onto a plane first"
        )
    return parts


def _fit(curve: ArcSpline, probes: Array, count: int) -> Fit:
    off = [abs(curve.nearest(float(x), float(y))[1]) for x, y in probes]
    worst = int(np.argmax(off))
    return Fit(
        worst_mm=off[worst], at_mm=(float(probes[worst, 0]), float(probes[worst, 1])), count=count, what="drawing"
    )


def _mended(joined: Joined, fit: Fit, file: str, units: Units) -> Finding:
    return finding(
        "curve.drawing-healed",
        units,
        value=fit.worst_mm,
        limit=0.01,
        joints=joined.healed,
        file=file,
        gap=joined.widest_mm,
        corner=joined.sharpest_rad,
    )
