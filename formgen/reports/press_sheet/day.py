"""Stage `reports`: the press day: the steps of each way of pressing, in their order.

In: a Holding. Out: steps as plain data. The order is the bench's: hands and clamps bend the stack, the pump comes last.

    part-bagged   cut, lay out, dry run, glue, bag, form, clamps, vacuum, clamps off or off the form,
                  wait, release, next day
    form-bagged   cut, lay out, dry run, glue, form and bag, ends down, vacuum, wait, release, next day
    clamped       cut, lay out, dry run, glue, form, clamps, wait, release, next day
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from formgen.findings import Finding, Severity
from formgen.holding.model import Holding
from formgen.recipe.catalogue import cautions
from formgen.recipe.schema import Way
from formgen.reports.press_sheet import facts, finish, hold, lay_up, prepare, told
from formgen.reports.press_sheet.items import Care, Item, Step
from formgen.reports.press_sheet.words import HOW_ROUNDED, capital, checked, thin
from formgen.reports.rows.makes import code_text

Named = tuple[str, str, Iterable[Item]]

#: How each way is named on the sheet.
WAYS: dict[Way, str] = {
    "part-bagged": "the bag round the part alone, the form outside it",
    "form-bagged": "form and part in one bag",
    "clamped": "no bag: cauls under clamps",
}


def steps_of(holding: Holding, *, brief: bool = False) -> tuple[Step, ...]:
    """The day, from the saw to the tape.

    Args:
        holding: the form and what holds the part to it.
        brief: sums up the lengths of like plies, measures spans at the feet alone, and leaves what a warning's number
            was computed from to the report; no warning is left out, and no law.
    """
    middle = {"part-bagged": _part_bagged, "form-bagged": _form_bagged, "clamped": _clamped}[facts.way(holding)]
    steps: list[Named] = [
        ("cut", "The day before: cut the plies", prepare.cut_items(holding, brief=brief)),
        ("lay out", "Lay out", prepare.lay_out_items(holding)),
        ("dry run", "Dry run: everything but the glue", prepare.dry_run(holding)),
        ("glue", "Glue and stack", lay_up.glue(holding)),
        *middle(holding),
        ("wait", "Wait", finish.wait(holding)),
        ("release", "Release", finish.release(holding)),
        ("next day", "Next day: measure, trim, write down", finish.next_day(holding, brief=brief)),
    ]
    made = ((key, title, tuple(items)) for key, title, items in steps)
    return tuple(
        Step(key=key, title=title, items=items, cautions=tuple(care_of(holding, key, brief=brief)))
        for key, title, items in made
        if items
    )


def _part_bagged(holding: Holding) -> Iterable[Named]:
    yield "bag", "Into the bag, just snug", lay_up.into_the_bag(holding)
    yield "form", "Over the form", hold.over_the_form(holding)
    yield "clamps", "Clamps on", hold.clamps_on(holding)
    yield "vacuum", "Full vacuum", hold.full_vacuum(holding)
    if facts.comes_off(holding):
        yield "off the form", f"Off the form with the {told.bar_word(holding)}", hold.off_the_form(holding)
    else:
        title = "Clamps off, but the pairs that stay" if facts.clamps_come_off(holding) else "All clamps stay on"
        yield "clamps off", title, hold.clamps_off(holding)


def _form_bagged(holding: Holding) -> Iterable[Named]:
    yield "onto", "Onto the form, both into the bag", lay_up.onto_the_form_in_the_bag(holding)
    yield "ends down", f"Ends {told.inward(holding)} by hand", lay_up.legs_down(holding)
    yield "vacuum", "Full vacuum", hold.full_vacuum(holding)


def _clamped(holding: Holding) -> Iterable[Named]:
    yield "form", "Over the form", hold.over_the_form(holding)
    yield "clamps", "Clamps on", hold.clamps_on(holding)


def heading(holding: Holding) -> tuple[str, tuple[str, ...]]:
    """The part's name, and lines that say what it is, how it is pressed and how to read the sheet."""
    laminate = holding.laminate
    asked = laminate.recipe.asked
    units = asked.units
    on = "its centre line" if asked.part.measured_on == "centre" else f"the {asked.part.measured_on} face"
    parts = f"; {laminate.arch.copies} parts, a sheet for each, the second turned over" * (laminate.arch.copies > 1)
    what = (
        f"{asked.part.arch.kind}, measured on {on}; {thin(laminate.thickness_mm, units)} thick, "
        f"{checked(asked.part.depth_mm, units)} deep{parts}."
    )
    how = (
        f"{holding.pressing.side} form; {WAYS[facts.way(holding)]}. Right and left as seen on the side with the labels."
    )
    return asked.name, (f"Code {code_text(holding)}. {capital(what)}", capital(how), HOW_ROUNDED[units])


def care_of(holding: Holding, key: str, *, brief: bool = False) -> Iterable[Care]:
    """The cautions that stand before a step."""
    for name in _named(holding):
        caution = cautions()[name]
        if key in caution.steps:
            yield _care(caution.said(facts.units(holding)), caution.source)
    for finding in holding.all_findings:
        if key in _steps_of(finding):
            yield _care(finding.message, "" if brief else finding.source.replace("_", " "))


def _care(text: str, source: str) -> Care:
    """A caution with its source, as far as the first stop; how a number was computed from it stands in the report.

    Common practice has none, and what the text names already is not said twice.
    """
    first = re.split(r"[;:]", source, maxsplit=1)[0]
    named = first.startswith("common practice") or all(part in text for part in re.split(r"[;,] ", source))
    return Care(text=text, source="" if named else first)


def _named(holding: Holding) -> Iterable[str]:
    """Names of the catalogue's cautions that this job calls for, each once."""
    pressing = holding.pressing
    vacuum = pressing.vacuum.cautions if pressing.vacuum is not None else ()
    own = (*vacuum, *pressing.glue.cautions, *holding.strength.cautions, *holding.weights.cautions, "load")
    return dict.fromkeys(own)


def _steps_of(finding: Finding) -> tuple[str, ...]:
    """The steps that a finding belongs to; a problem that belongs to none stands with the first, before wood is cut."""
    return finding.steps or (("cut",) if finding.severity is Severity.PROBLEM else ())
