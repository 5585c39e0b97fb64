"""Shop drawings made once for all their tests: of shipped recipes, of trials, of a form that several openings share."""

from __future__ import annotations

import tempfile
from functools import cache
from pathlib import Path
from typing import NamedTuple

from formgen.building.schedule.read import read_schedule
from formgen.building.sharing.forms import plan_building
from formgen.form.model import Form
from formgen.holding.model import Holding
from formgen.pipeline import run
from formgen.reports.drawing.sheets import shop_drawing
from tests.conftest import RECIPES, SHIPPED, shipped_form
from tests.reports.paper_paths import Page, pages
from tests.reports.trials import TRIALS, trial

__all__ = ["RECIPES", "SHARED", "SHIPPED", "Drawn", "drawing_of"]

#: The first form of the shipped schedule that several openings share.
SHARED = "shared"


class Drawn(NamedTuple):
    """A form, its drawing file, and the pages printed from it."""

    form: Form
    drawing: bytes
    printed: list[Page]


@cache
def drawing_of(name: str, paper: str = "") -> Drawn:
    """The drawing of a shipped recipe, of a trial, on a paper that is asked for, or of a shared form."""
    form = _form_of(name, paper)
    drawing, printed = shop_drawing(form)
    return Drawn(form, drawing, list(pages(printed)))


def _form_of(name: str, paper: str) -> Holding:
    if name in TRIALS:
        with tempfile.TemporaryDirectory() as folder:
            return trial(name, Path(folder), paper)
    if name == SHARED:
        openings = RECIPES / "openings"
        schedule = read_schedule(openings / "library.csv", openings / "base.yaml", RECIPES / "shop.yaml")
        forms = plan_building(schedule.openings[:8], 0.5).forms
        return run(next(form.recipe for form in forms if len(form.members) > 1))
    return shipped_form(name)
