"""Stage `reports`: the tables that the shop works from: plies, plies to cut, clamps, pieces, files.

In: a Form. Out: tables of text. Every number is one of the stages'; lengths are rounded only in being written.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from formgen.holding.model import Holding
from formgen.laminate.plies import Ply
from formgen.lengths import Units, write_fine, write_length
from formgen.outputs.html.page import Columns
from formgen.outputs.svg import Svg, tag
from formgen.outputs.templates import broken
from formgen.reports.rows.makes import makes_columns, trim_text


def ply_table(form: Holding) -> Columns:
    """Each ply as it lies in the press."""
    units = form.recipe.units
    header = ("ply", "wood", "thick", "long, with trim", "tightest radius", "strain", "likely to break at")
    rows = [
        (
            f"{ply.number}",
            ply.wood,
            write_fine(ply.thickness_mm, units),
            write_length(ply.length_mm, units),
            _radius(ply.radius_mm, units),
            f"{100 * ply.strain:.2f} %",
            _limit(ply, units),
        )
        for ply in form.laminate.plies
    ]
    return _wood_said_once("Plies in the press, 1 at the inside face", header, rows)


def _wood_said_once(caption: str, header: Sequence[str], rows: Sequence[Sequence[str]]) -> Columns:
    """A table of plies; a wood that all of them are of stands in its caption."""
    at = header.index("wood")
    woods = {row[at] for row in rows}
    if len(woods) > 1:
        return Columns(caption, header, rows)
    bare = [[cell for i, cell in enumerate(row) if i != at] for row in (header, *rows)]
    return Columns(", ".join((caption, *woods)), bare[0], bare[1:])


def _radius(mm: float, units: Units) -> str:
    return "straight" if math.isinf(mm) else write_length(mm, units)


def _limit(ply: Ply, units: Units) -> str:
    if ply.radius_limit_mm is not None:
        return f"least radius {write_length(ply.radius_limit_mm, units)}"
    return "not known" if ply.strain_limit is None else f"{100 * ply.strain_limit:.2f} %"


def cut_table(form: Holding) -> Columns:
    """The plies to saw."""
    units = form.recipe.units
    rows = [
        (
            f"ply {cut.ply}" if cut.ply else "spare",
            f"{cut.count}",
            cut.wood,
            write_fine(cut.thickness_mm, units),
            write_length(cut.width_mm, units),
            write_length(cut.length_mm, units),
        )
        for cut in form.laminate.materials.cuts
    ]
    return _wood_said_once("Plies to cut", ("for", "how many", "wood", "thick", "wide", "long"), rows)


def clamp_table(form: Holding) -> Columns:
    """The clamps from the right end, each with its turn to go on and to come off; no row where there are none."""
    header = ("clamp", "from right end", "height", "bears on", "flat jaw off", "goes on", "comes off")
    caption = "Clamps from the right, where along the part they stand, and their turns to go on and to come off"
    if form.clamps is None:
        return Columns(caption, header, ())
    units = form.recipe.units
    on, off = (
        {number: i for i, group in enumerate(order, start=1) for number in group}
        for order in (form.clamps.on_order, form.clamps.off_at_vacuum + form.clamps.release)
    )
    rows = [
        (
            f"{place.number}",
            write_length(place.station_mm, units),
            write_length(place.height_mm, units),
            "curve" if place.on_curve else "leg",
            write_length(place.flat_mm, units) if place.on_curve else "",
            f"{on[place.number]}",
            f"{off[place.number]}",
        )
        for place in form.clamps.places
    ]
    return Columns(caption, header, rows)


def makes_table(form: Holding) -> Columns:
    """The openings whose parts come off the form."""
    units = "inches" if form.recipe.units == "in" else "mm"
    caption = f"Parts off this form, in {units}, as it makes them. {trim_text(form)}"
    return Columns(caption, *makes_columns(form))


def piece_table(form: Holding) -> Columns:
    """Every piece to cut, with what is cut into it; those that are cut alike together."""
    units = form.recipe.units
    names: dict[tuple[str, ...], list[str]] = {}
    for _layer, piece in form.pieces:
        x0, y0, x1, y1 = piece.outline.bounds
        depths = dict.fromkeys(write_fine(g.depth_mm, units) for g in piece.grooves)
        grooves = f"{len(piece.grooves)}, {' and '.join(depths)} deep" if piece.grooves else "none"
        size = f"{write_length(x1 - x0, units).removesuffix(f' {units}')} × {write_length(y1 - y0, units)}"
        cut = (size, f"{len(piece.openings)}", f"{len(piece.holes)}", grooves)
        names.setdefault(cut, []).append(piece.name)
    rows = [(", ".join(alike), *cut) for cut, alike in names.items()]
    return Columns("Pieces", ("piece", "size over all", "reliefs", "dowel holes", "grooves"), rows)


def asked_table(caption: str, rows: Sequence[tuple[str, str, str]]) -> Columns:
    """Keys with their values and who set them; a key may be broken after its dots."""
    return Columns(caption, ("key", "value", "set by"), [(broken(key), value, who) for key, value, who in rows])


def file_table(files: Mapping[str, Mapping[str, Any]]) -> Columns:
    """The files that were made with this page, with the hash by which a copy can be proved."""
    rows = [(name, f"{made['bytes']}", _folded(f"{made['sha256']}")) for name, made in sorted(files.items())]
    return Columns("Files in this folder", ("file", "bytes", "SHA-256"), rows, whole=("file",))


def _folded(said: str) -> Svg:
    """Fold away what nobody reads until it is wanted."""
    return tag("details", tag("summary", "show"), tag("code", said))
