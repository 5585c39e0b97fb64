"""Building: the sheets' part of a batch: pieces a layer before the forms are built, sheets when they stand.

In: a planned building, names of the forms that were made. Out: the building with its pieces a layer chosen; the sheets,
written, with their sums.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from formgen.building.events import WORTH_TELLING, Event, Tell
from formgen.building.model import Building, Nesting
from formgen.building.nesting import choose_division, lay_out
from formgen.building.pool import Place
from formgen.building.sheet_sums import sheet_sums
from formgen.exports.sheet_folder import write_sheets
from formgen.sheets.division import Trial
from formgen.sheets.model import Sheets

Opens = Callable[[], AbstractContextManager[Place]]


@dataclass(frozen=True, kw_only=True)
class Division:
    """A building with its pieces a layer chosen, and what was tried; nothing was where no sheets are laid out."""

    building: Building
    trials: tuple[Trial, ...] = ()
    kept: Trial | None = None


def divided_building(building: Building, nesting: Nesting | None, place: Opens, tell: Tell) -> Division:
    """The building with the number of pieces a layer that takes the fewest sheets; as it is where none are laid out."""
    if nesting is None:
        return Division(building=building)
    choosing = "choosing the pieces a layer"
    tell(Event(what="nesting", message=choosing))

    def ended(done: int, of: int) -> None:
        if len(building.forms) >= WORTH_TELLING:
            tell(Event(what="nesting", message=f"{choosing}: {done} of {of} numbers tried"))

    chosen, trials, kept = choose_division(building, nesting, place, ended)
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
