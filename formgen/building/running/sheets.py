"""Building: the sheets' part of a batch: pieces a layer before the forms are built, sheets when they stand.

In: a planned building, names of the forms that were made. Out: the building with its pieces a layer chosen; the sheets,
written, with their sums.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import field
from pathlib import Path
from typing import Any

from formgen.building.model import Building, Nesting
from formgen.building.running.checking import goes_on_no_sheet
from formgen.building.running.events import WORTH_TELLING, Event, Tell
from formgen.building.running.nesting import Opens, choose_division, lay_out, lay_out_alone
from formgen.building.summary.sheet_sums import sheet_sums
from formgen.fixed import fixed
from formgen.outputs.sheets.folder import refuse_unplaced, write_sheets
from formgen.sheets.division import Trial
from formgen.sheets.model import Sheets


@fixed
class Division:
    """A building with its pieces a layer chosen, and what was tried; nothing was where no sheets are laid out.

    Args:
        building: with the pieces a layer that were chosen.
        trials: the numbers of pieces that were tried.
        kept: the one that was taken.
        too_large: a line for each form with a piece that goes on no sheet: nothing was chosen then.
    """

    building: Building
    trials: tuple[Trial, ...] = ()
    kept: Trial | None = None
    too_large: Mapping[str, str] = field(default_factory=dict)


def divided_building(building: Building, nesting: Nesting | None, place: Opens, tell: Tell) -> Division:
    """The building with the number of pieces a layer that takes the fewest sheets; as it is where none are laid out.

    Raises:
        SheetError: fewer sheets in stock than the pieces need, or an engine that is not installed.
    """
    if nesting is None:
        return Division(building=building)
    choosing = "choosing the pieces a layer"
    tell(Event(what="nesting", message=choosing))

    def ended(done: int, of: int) -> None:
        if len(building.forms) >= WORTH_TELLING:
            tell(Event(what="nesting", message=f"{choosing}: {done} of {of} numbers tried"))

    chosen, trials, kept = choose_division(building, nesting, place, ended)
    if kept is not None and not math.isfinite(kept.board_mm2):
        counts = [trial.least_pieces for trial in trials]
        larger = goes_on_no_sheet(building, counts, place) or goes_on_no_sheet(chosen, counts[:1], place)
        if larger:
            return Division(building=building, too_large=larger)
        refuse_unplaced(lay_out_alone(chosen, nesting))  # a trial spends little effort: at more of it all may go
    if kept is not None:
        tell(Event(what="divided", message=_division_text(trials, kept)))
    return Division(building=chosen, trials=trials, kept=kept)


def laid_sheets(
    division: Division,
    made: Sequence[str],
    nesting: Nesting | None,
    place: Opens,
    tell: Tell,
    output: Path,
) -> tuple[Sheets, dict[str, Any]] | None:
    """The sheets of the forms that were made, written, and what the record says of them."""
    if nesting is None or division.kept is None or not made:
        return None
    tell(Event(what="nesting", message="laying out the sheets"))
    sheets, measures = lay_out(division.building, made, division.kept, nesting, place)
    write_sheets(sheets, output)
    return sheets, sheet_sums(sheets, division.trials, division.kept, measures)


def _division_text(trials: Sequence[Trial], kept: Trial) -> str:
    tried = ", ".join(f"{t.least_pieces}: {t.sheets if math.isfinite(t.board_mm2) else 'too few'}" for t in trials)
    return f"{kept.least_pieces} pieces a layer (sheets by pieces a layer, tried: {tried})"
