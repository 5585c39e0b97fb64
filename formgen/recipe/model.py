"""Stage `recipe`: the result, a recipe that was understood, with the shop it is for."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import field
from pathlib import Path

from formgen.findings import Finding
from formgen.fixed import fixed
from formgen.lengths import Units
from formgen.recipe.catalogue import DEFAULT_SHEET
from formgen.recipe.schema import SHORT, WALL_MM, PartAsk, RecipeFile, ReliefAsk
from formgen.recipe.shop import Sheet, Shop


@fixed
class Recipe:
    """The shop's asking, every default written out.

    Args:
        asked: the recipe file, lengths in mm.
        shop: the shop file, or the defaults.
        folder: where the recipe lies; files that it names are found from here.
        sheet_name: name of the stock sheet that the layers are cut from.
        sheet: that sheet, from the shop file or the catalogue.
        findings: what is worth knowing about the asking itself.
        file: the recipe file's name, empty where the recipe was made from a job record.
        places: where each key stands, by its dotted name: `porch.yaml:14:7`, or `--set form.backing`.
        quantity: how many parts are wanted of it (pairs of halves, where a point splits the arch); a schedule says it.
        free: keys that nobody typed and the program may settle (`form.backing`); none once they are settled.
        taken: fields of the recipe whose values nobody typed (`part.tolerance_mm`).
        makes: the openings that come off its form, where it is the recipe of a form for several; else none.
    """

    asked: RecipeFile
    shop: Shop
    folder: Path
    sheet_name: str
    sheet: Sheet
    findings: tuple[Finding, ...] = ()
    file: str = ""
    places: Mapping[str, str] = field(default_factory=dict, compare=False, repr=False)
    quantity: int = 1
    free: frozenset[str] = frozenset()
    taken: tuple[str, ...] = ()
    makes: tuple[Recipe, ...] = ()

    @property
    def name(self) -> str:
        """The part's name."""
        return self.asked.name

    @property
    def units(self) -> Units:
        """The units that it is written in, and answered in."""
        return self.asked.units

    @property
    def part(self) -> PartAsk:
        """The asking for the finished part."""
        return self.asked.part

    @property
    def usual_sheet(self) -> str:
        """The sheet where the recipe names none: the shop's, else the catalogue's for the recipe's units."""
        return self.shop.sheet or DEFAULT_SHEET[self.asked.units]

    @property
    def openings(self) -> tuple[Recipe, ...]:
        """The openings that its form was made for, or itself alone."""
        return self.makes or (self,)

    @property
    def layer_count(self) -> int:
        """Layers of sheet that the part's depth in the press takes."""
        return max(1, math.ceil(self.part.pressed_depth_mm / self.sheet.thickness_mm - 1e-9))

    @property
    def backing_mm(self) -> float:
        """Depth of the form behind its face: as asked, else the least in which a clamp relief keeps its walls.

        A slot's ends come nearer to the back than its middle on a tight curve, which the rounding up makes good.
        """
        form = self.asked.form
        if form.backing_mm is not None:
            return form.backing_mm
        reliefs = form.clamp_reliefs if isinstance(form.clamp_reliefs, ReliefAsk) else ReliefAsk()
        need = reliefs.setback_mm + self.shop.clamp.jaw_mm + self.shop.clamp.play_mm + WALL_MM
        step = 5.0 if self.asked.units == "mm" else 6.35
        return step * math.ceil(need / step + 0.4)

    def placed(self, message: str, found: Iterable[Finding] = ()) -> str:
        """A stage's message with the file in front, and line and column where it begins with a key or names one.

        Args:
            message: the stage's own.
            found: what earlier stages found; a slip among it is told as the likely cause.
        """
        slips = (one.message for one in (*self.findings, *found) if one.code in SLIPS)
        slip = next((f"; likely cause: {said}" for said in slips), "")
        if not self.file:
            return message + slip
        told = KEY_IN_TEXT.sub(self._as_typed, message) + slip
        for key in KEY_IN_TEXT.findall(message):
            steps = key.split(".")
            for n in range(len(steps), 0, -1):
                if ".".join(steps[:n]) in self.places:
                    return f"{self.places['.'.join(steps[:n])]}: {told}"
        return f"{self.file}: {told}"

    def _as_typed(self, key: re.Match[str]) -> str:
        """The key as it stands in the file: `depth` for `part.depth` where that was written at the top."""
        section, name, *below = key[0].split(".")
        short = name in self.places and SHORT.get(name) == (section, name)
        return ".".join((name, *below)) if short else key[0]


#: Findings of numbers that are more likely a slip than meant: a refusal is most likely for that.
SLIPS = (
    "recipe.units-unlikely", "recipe.sizes-swapped", "recipe.size-unlikely", "recipe.sheet-unlikely",
    "curve.bad-reading",
)  # fmt: skip
#: A key of a recipe in a message: `part.arch.rise`.
KEY_IN_TEXT = re.compile(r"\b(?:part|laminate|press|form)\.[a-z_.]*[a-z_]")
