"""Building: what the sheets of a building take and save, for the record, the table and the screen.

In: a layout and what it is held against. Out: numbers that can be counted on the files: sheets are drawings in the
folder of the sheets, areas are those of the outlines in them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from formgen.fixed import fixed
from formgen.outputs.record.plain import number
from formgen.sheets.division import Trial
from formgen.sheets.model import Sheets


@fixed
class Measures:
    """Sums that the layout is held against.

    Args:
        in_boxes: new sheets for the same pieces laid out by the boxes around them; None where the stock does not
            suffice for them.
        shared: what these forms take, laid out at the effort of a trial.
        apart: what a form for each opening would take, with the same pieces a layer and the same effort; None where
            no opening shares a form.
    """

    in_boxes: int | None
    shared: Trial
    apart: Trial | None


def sheet_sums(sheets: Sheets, trials: Sequence[Trial], kept: Trial, measures: Measures) -> dict[str, Any]:
    """Return what `building.json` says of the sheets.

    Args:
        sheets: the layout.
        trials: what was tried, by pieces a layer.
        kept: the one whose number of pieces was taken.
        measures: what the layout is held against.
    """
    new, shared, apart = sheets.new_sheets, measures.shared, measures.apart
    return {
        "new": new,
        "offcuts": len(sheets.sheets) - new,
        "pieces": sum(len(sheet.placements) for sheet in sheets.sheets),
        "pieces_m2": number(math.fsum(sheet.cut_mm2 for sheet in sheets.sheets) * 1e-6),
        "usage": number(sheets.usage),
        "new_at_least": sum(run.at_least for run in sheets.runs),
        "boards": [
            {
                "board": run.board, "engine": run.engine, "effort": run.effort, "why": run.why, "new": run.sheets,
                "offcuts": run.offcuts, "new_at_least": run.at_least,
            }
            for run in sheets.runs
        ],
        "least_pieces": kept.least_pieces,
        "tried": [_trial(trial) for trial in trials],
        "new_in_boxes": measures.in_boxes,
        "apart": None if apart is None else _trial(apart),
        "saved_by_sharing": None if apart is None or not _goes(apart) or not _goes(shared) else {
            "new": apart.sheets - shared.sheets,
            "offcuts": apart.offcuts - shared.offcuts,
            "pieces_m2": number((apart.pieces_mm2 - shared.pieces_mm2) * 1e-6),
        },
        "saved_by_nesting": None if measures.in_boxes is None else measures.in_boxes - new,
    }  # fmt: skip


def sheets_by_form(sheets: Sheets) -> dict[str, tuple[int, ...]]:
    """Numbers of the sheets that each form's pieces lie on, rising."""
    found: dict[str, set[int]] = {}
    for sheet in sheets.sheets:
        for placement in sheet.placements:
            found.setdefault(placement.part.form, set()).add(sheet.number)
    return {form: tuple(sorted(numbers)) for form, numbers in found.items()}


def _trial(trial: Trial) -> dict[str, Any]:
    return {
        "least_pieces": trial.least_pieces,
        "new": trial.sheets if _goes(trial) else None,
        "offcuts": trial.offcuts if _goes(trial) else None,
        "pieces": trial.pieces,
        "pieces_m2": number(trial.pieces_mm2 * 1e-6),
    }


def _goes(trial: Trial) -> bool:
    return math.isfinite(trial.board_mm2)
