"""Stage `reports`: the four numbers that are asked for across the bench, in a band of boxes under the sheet's head.

In: a Holding. Out: the numbers as text, and the boxes laid out. Nothing is computed here. What nobody knows before the
glue is chosen is a line to write on, as high as the figures.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import product

from formgen.amounts import newton_text, pressure_text, small_reading, time_text
from formgen.drafting.paper import ACT_MM, HEAD_MM, SET_MM, TEXT_MM, THICK_MM
from formgen.drafting.text import showable, wide
from formgen.fixed import fixed
from formgen.holding.model import Holding
from formgen.recipe.figures import figure
from formgen.reports.press_sheet import facts, told
from formgen.reports.press_sheet.laid import Laid, Rule, Word, rectangle
from formgen.reports.press_sheet.words import tape

#: White at the sides of a box, between label and figure and under the figure, and the line to write on (mm).
SIDE_MM, BETWEEN_MM, UNDER_MM, WRITE_MM = 2.0, 3.0, 3.0, 16.0
#: Heights of the unit beside its figure, and of the figure to set and of the others, the first that fits (mm).
UNIT_MM, HEIGHTS_MM = HEAD_MM, ((SET_MM, ACT_MM), (ACT_MM, ACT_MM))

#: Most letters of a list of clamps that stands in a box.
LONGEST = 8


@fixed
class Figure:
    """One number.

    Args:
        label: what it is, in one line or, where that is too long for its box, in two.
        number: as it is read; empty where it is to be written in.
        unit: behind it.
        to_set: it is the one that is set on the day, and stands higher than the others.
    """

    label: tuple[str, ...]
    number: str
    unit: str
    to_set: bool = False

    def wide_mm(self, high_mm: float) -> float:
        """Width of its box where its figures are so high."""
        figure_mm = wide(showable(self.number), high_mm) if self.number else WRITE_MM
        beside = (1.5 + wide(showable(self.unit), UNIT_MM)) if self.unit else 0.0
        return max(figure_mm + beside, *(wide(line, TEXT_MM) for line in self.label)) + 2.0 * SIDE_MM

    @property
    def in_one_line(self) -> Figure:
        """The same with its label in one line."""
        return replace(self, label=(" ".join(self.label),))


def band_of(holding: Holding) -> tuple[Figure, ...]:
    """The four numbers of the way at hand, in the order in which they are asked for."""
    made = _clamped(holding) if facts.way(holding) == "clamped" else _bagged(holding)
    return (*made, _deadline(holding), _in_the_press(holding))


def _bagged(holding: Holding) -> Iterable[Figure]:
    """The number to set or to hold while the plies are bent, and the vacuum."""
    units, vacuum = facts.units(holding), holding.pressing.vacuum
    setting, soft, stays = facts.bar(holding), holding.soft_vacuum, facts.stays(holding)
    if setting is not None:
        yield _read((f"{told.bar_word(holding)}, jaw to jaw",), setting.tape, to_set=True)
    elif told.stay_alike(holding):
        yield _read(("clamps that stay,", "beyond spring line"), told.distance(holding, stays[0]))
    elif facts.way(holding) == "form-bagged":
        most = figure("bend_in_bag_kpa", holding.recipe.shop).value
        yield _read(("while bending,", "at most"), pressure_text(most, units))
    elif soft is not None and (soft.shows or holding.clamps is None):
        yield _read(("while bending,", "at most"), small_reading(soft.gauge_kpa, units))
    else:
        yield _that_stay(holding)
    if vacuum is not None:
        yield _read(("vacuum", "to hold"), pressure_text(vacuum.held_kpa, units))


def _that_stay(holding: Holding) -> Figure:
    """The clamps that stay on while the glue sets; of many, their count."""
    held = facts.clamps_of(holding)
    stay = sorted((*held.feet, *held.stay)) if held is not None else []
    if not stay and holding.clamps is not None:  # what stays is put on later, from the back of the form
        return Figure(label=("clamps to", "put on"), number=str(len(holding.clamps.places)), unit="")
    said = ", ".join(map(str, stay))
    if len(said) > LONGEST:
        return Figure(label=("how many", "clamps stay"), number=str(len(stay)), unit="")
    return Figure(label=("clamps", "that stay"), number=said, unit="")


def _clamped(holding: Holding) -> Iterable[Figure]:
    """The force of each clamp, and the greatest distance between clamps."""
    caul, units = holding.pressing.caul, facts.units(holding)
    if caul is None:
        yield from (Figure(label=(label,), number="", unit="") for label in ("each clamp", "clamps apart, at most"))
        return
    yield _read(("each clamp",), newton_text(caul.clamp_n, units))
    yield _read(("clamps apart,", "at most"), tape(caul.reach_mm, units))


def _deadline(holding: Holding) -> Figure:
    """Minutes from the first glue until all pressure must be on."""
    last = "full vacuum by" if holding.pressing.vacuum is not None else "all clamps on by"
    usual = ("(usual)",) if "open time" in holding.pressing.glue.usual else ()
    ready = facts.ready_min(holding)
    return Figure(label=(last, *usual), number=f"+{ready}" if ready else "", unit="min")


def _in_the_press(holding: Holding) -> Figure:
    """The least time in the press."""
    where = "under vacuum" if holding.pressing.vacuum is not None else "in the clamps"
    if not facts.glue_chosen(holding):
        return Figure(label=(where,), number="", unit="h")
    usual = ("(usual)",) if "time in the press" in holding.pressing.glue.usual else ()
    return _read((where, *usual), time_text(holding.pressing.glue.press_min))


def _read(label: tuple[str, ...], text: str, *, to_set: bool = False) -> Figure:
    """An amount whose unit stands apart from its number."""
    number, unit = text.rsplit(" ", 1)
    return Figure(label=label, number=number, unit=unit, to_set=to_set)


def band(figures: tuple[Figure, ...], width_mm: float) -> Laid:
    """The boxes side by side; what their figures leave of the width is shared evenly."""
    short = tuple(one.in_one_line for one in figures)
    for (to_set, others), shown in product(HEIGHTS_MM, (short, figures)):
        highs = [to_set if one.to_set else others for one in shown]
        widths = [one.wide_mm(high) for one, high in zip(shown, highs, strict=True)]
        if sum(widths) <= width_mm:
            break
    spare = (width_mm - sum(widths)) / len(shown)
    lines = max(len(one.label) for one in shown)
    base = 2.0 + 1.5 * TEXT_MM * lines + BETWEEN_MM + max(highs)
    high_mm = base + UNDER_MM
    words: list[Word] = []
    rules: list[Rule] = list(rectangle(0.0, 0.0, width_mm, high_mm, THICK_MM))
    x = 0.0
    for i, (one, high, wide_mm) in enumerate(zip(shown, highs, widths, strict=True)):
        if i:
            rules.append(Rule(x0_mm=x, y0_mm=0.0, x1_mm=x, y1_mm=high_mm, width_mm=THICK_MM))
        more = _box(one, high, base)
        words += more.moved(x + SIDE_MM, 0.0).words
        rules += more.moved(x + SIDE_MM, 0.0).rules
        x += wide_mm + spare
    return Laid(height_mm=high_mm, words=tuple(words), rules=tuple(rules))


def _box(one: Figure, high_mm: float, base_mm: float) -> Laid:
    """Label, figure or line to write on, and unit, from the left edge of what stands in the box."""
    words = [
        Word(x_mm=0.0, y_mm=1.5 + 1.5 * TEXT_MM * (i + 1), text=line, capital_mm=TEXT_MM)
        for i, line in enumerate(one.label)
    ]
    rules: tuple[Rule, ...] = ()
    number = showable(one.number)
    if number:
        words.append(Word(x_mm=0.0, y_mm=base_mm, text=number, capital_mm=high_mm))
        right = wide(number, high_mm)
    else:
        right = WRITE_MM
        rules = (Rule(x0_mm=0.0, y0_mm=base_mm, x1_mm=right, y1_mm=base_mm),)
    words.append(Word(x_mm=right + 1.5, y_mm=base_mm, text=showable(one.unit), capital_mm=UNIT_MM))
    return Laid(height_mm=0.0, words=tuple(w for w in words if w.text), rules=rules)
