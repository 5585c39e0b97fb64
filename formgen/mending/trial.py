"""Mending: one value tried: what a person would type, and whether the finding is gone with it.

In: a Holding, a finding's code, a value. Out: true or false. A value works where the finding is gone and nothing as
grave has come in its place: a problem may leave warnings, a warning leaves nothing new. The stages are made again as
far as the value reaches and no further: up to the press for what plies, glue and bag do, up to the form for the rest.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from formgen.curve.stage import make_arch
from formgen.errors import FormgenError
from formgen.findings import Finding, Severity
from formgen.fixed import fixed
from formgen.form.stage import make_form, refuse_uncuttable
from formgen.holding.bending.forces import bend_to_form
from formgen.holding.clamps import caul_findings
from formgen.holding.model import Holding
from formgen.laminate.stage import make_laminate
from formgen.lengths import Units, read_length
from formgen.press.setup import Pressing
from formgen.press.stage import make_pressing
from formgen.recipe.catalogue import sheet
from formgen.recipe.model import Recipe
from formgen.units import MM_PER_IN

#: Marks of a tape: sixteenths of an inch, or millimetres.
_MARKS = {"in": 16, "mm": 1}
#: Letters that no shell makes anything of.
_PLAIN = frozenset("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789._-+=/,:")
#: So many forms are made again for one form: they take a while.
MOST_FORMS = 2
#: Findings of clamps: whether they are gone, only what bends the plies to the form can tell.
CLAMPS = frozenset({"press.closing-force", "press.caul-spacing", "press.caul-pressure"})
_WEIGHT = {Severity.NOTE: 0, Severity.WARNING: 1, Severity.PROBLEM: 2}


@fixed
class Try:
    """One value for one key.

    Args:
        key: by its dotted name, as after `--set`.
        text: the value as a recipe would write it.
        section, field: where it stands in the recipe as it was understood.
        value: the same there.
    """

    key: str
    text: str
    section: str
    field: str
    value: Any

    @property
    def setting(self) -> str:
        """The text to paste after `--set`, in quotes where a shell would take it apart."""
        return pasted(f"{self.key}={self.text}")

    @property
    def to_the_form(self) -> bool:
        """True if only the form can tell whether it works."""
        return self.section == "form" or self.field == "way"


def pasted(setting: str) -> str:
    """Return a setting as it is typed in a shell: in quotes where that would take it apart."""
    return setting if set(setting) <= _PLAIN else f'"{setting}"'


def length(key: str, mm: float, units: Units, *, up: bool = True, marks: int = 1) -> Try:
    """Return a length to try, on a mark of a tape: `form.backing=6-1/4`.

    Args:
        key: such as `form.backing`.
        mm: what it must be at the least, or at the most.
        units: the recipe's.
        up: rounded up; else down.
        marks: rounded to so many marks of a tape.
    """
    whole = math.ceil if up else math.floor
    per_mm = _MARKS[units] / (float(MM_PER_IN) if units == "in" else 1.0)
    number = marks * whole(mm * per_mm / marks + (-1e-9 if up else 1e-9))
    text = _sixteenths(number) if units == "in" else str(number)
    section, name = key.split(".")
    return Try(key=key, text=text, section=section, field=f"{name}_mm", value=read_length(text, units))


def word(key: str, value: Any, text: str = "") -> Try:
    """Return a word, a number without a unit, or a switch to try: `press.side=female`, `form.spreader_bar=false`."""
    section, name = key.split(".")
    said = text or (str(value).lower() if isinstance(value, bool) else str(value))
    return Try(key=key, text=said, section=section, field=name, value=value)


def _sixteenths(number: int) -> str:
    """`6-1/4`: no space in it, so that a shell leaves it whole."""
    inches, rest = divmod(number, 16)
    if not rest:
        return str(inches)
    common = math.gcd(rest, 16)
    fraction = f"{rest // common}/{16 // common}"
    return f"{inches}-{fraction}" if inches else fraction


class Trials:
    """The values that were tried on one form; what two findings ask for is tried once, and few forms are made again."""

    def __init__(self, form: Holding) -> None:
        self.form = form
        self.before = grave(form.all_findings)
        self._pressed: dict[str, Pressing | None] = {}
        self._found: dict[str, dict[str, int] | None] = {}
        self._forms = 0

    def works(self, code: str, one: Try) -> bool:
        """Tell whether a value cures a finding and leaves nothing new that is as grave.

        Args:
            code: the finding's.
            one: the value.
        """
        pressing = self._pressing(one)
        if pressing is None or (code in grave(pressing.all_findings)):
            return False
        found = self._with(code, one, pressing)
        if found is None or code in found:
            return False
        come = (weight for what, weight in found.items() if weight > self.before.get(what, 0))
        return max(come, default=0) < self.before[code]

    def _pressing(self, one: Try) -> Pressing | None:
        if one.setting not in self._pressed:
            try:
                self._pressed[one.setting] = pressing_with(self.form, one)
            except FormgenError:
                self._pressed[one.setting] = None
        return self._pressed[one.setting]

    def _with(self, code: str, one: Try, pressing: Pressing) -> dict[str, int] | None:
        """Find what there is with a value, as far as it reaches; None where it is refused or no more forms are made."""
        what = f"{one.setting} {code in CLAMPS}"
        if what not in self._found:
            if one.to_the_form:
                self._forms += 1
            if one.to_the_form and self._forms > MOST_FORMS:
                return None
            try:
                self._found[what] = grave(_found(self.form, one, pressing, clamps=code in CLAMPS))
            except FormgenError:
                self._found[what] = None
        return self._found[what]


def grave(findings: Iterable[Finding]) -> dict[str, int]:
    """Return the weight of each code that is more than a note, the gravest where it stands several times."""
    weights: dict[str, int] = {}
    for found in findings:
        if found.severity is not Severity.NOTE:
            weights[found.code] = max(weights.get(found.code, 0), _WEIGHT[found.severity])
    return weights


def pressing_with(form: Holding, one: Try) -> Pressing:
    """Make the pressing again with a value; what lies before it in the tour is kept.

    Raises:
        FormgenError: a stage cannot go on.
    """
    recipe = _recipe_with(form.recipe, one)
    if one.section == "part":
        return make_pressing(make_laminate(make_arch(recipe)))
    arch = replace(form.arch, recipe=recipe)
    if one.section == "form" and one.field != "clamp_reliefs":  # how far apart clamps stand, the press knows
        return replace(form.pressing, laminate=replace(form.laminate, arch=arch))
    return make_pressing(make_laminate(arch))


def _found(form: Holding, one: Try, pressing: Pressing, *, clamps: bool) -> tuple[Finding, ...]:
    """Find what the form, or the press alone, says of a value; of clamps too where it is about them.

    A form of the other side is not made, only looked at: whether it can be cut.

    Raises:
        FormgenError: the value is refused.
    """
    made = make_form(pressing) if one.to_the_form else None
    if one.field == "side":
        refuse_uncuttable(pressing)
    held = pressing.all_findings if made is None else made.all_findings
    if not clamps:
        return held
    stations = (form if made is None else made).relief_stations_mm
    reached = [s for s in stations if s <= pressing.laminate.pressed.length_mm]
    bending = bend_to_form(pressing.laminate, reached, pressing.side, pressing.way)
    return (*held, *bending.findings, *caul_findings(pressing, reached))


def _recipe_with(recipe: Recipe, one: Try) -> Recipe:
    asked = recipe.asked
    section = getattr(asked, one.section).model_copy(update={one.field: one.value})
    recipe = replace(recipe, asked=asked.model_copy(update={one.section: section}))
    if one.field == "sheet":
        return replace(recipe, sheet_name=one.value, sheet=sheet(one.value, recipe.shop))
    return recipe
