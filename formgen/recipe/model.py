"""Stage `recipe`: the result, a recipe that was understood, with the shop it is for."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from formgen.findings import Finding
from formgen.recipe.schema import RecipeFile
from formgen.recipe.shop import Sheet, Shop


@dataclass(frozen=True, kw_only=True)
class Recipe:
    """What the shop asked for, every default written out.

    Args:
        asked: the recipe file, lengths in mm.
        shop: the shop file, or the defaults.
        folder: where the recipe lies; files that it names are found from here.
        sheet_name: name of the stock sheet that the layers are cut from.
        sheet: that sheet, from the shop file or the catalogue.
        findings: what is worth knowing about the asking itself.
    """

    asked: RecipeFile
    shop: Shop
    folder: Path
    sheet_name: str
    sheet: Sheet
    findings: tuple[Finding, ...] = ()
