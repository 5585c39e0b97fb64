"""Stage `recipe`: a recipe to start from: with invented numbers and a comment on every key, or with what was answered.

In: a name and units, or answers as they were typed. Out: the text of a recipe file.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from string import Template

from formgen.errors import RecipeError
from formgen.lengths import Units
from formgen.quoted import quoted
from formgen.recipe.lie import CALLED, DRAWINGS, Lies
from formgen.recipe.strict import checked_name

_TEXT = Template("""\
# A part recipe. Replace the numbers, which are invented, by your own.
# A length is a number in the units below, or a text with its unit: $example.
units: $units

arch: {kind: segmental, span: $span, rise: $rise}   # `formgen show arches` lists the kinds and their sizes
measured_on: inside     # the face that span and rise were measured on: inside, outside or centre
depth: $depth           # size across the wall, finished
thickness: $thickness          # of the whole part, all plies together
wood: white oak         # `formgen show woods`
way: part-bagged        # the bag goes round the part; form-bagged: round form and part; clamped: no bag

$more""")
#: What else a recipe may say, in comments.
_MORE = Template("""\
# All else the program settles; `formgen check NAME.yaml --all` lists it under "Taken as usual". What you type wins:
$legs
# adhesive: urea formaldehyde     # `formgen show adhesives`: weight and times follow from the glue
# plies: $plies                        # equal ones; or a list of groups with count and thickness
# side: male                      # the form lies inside the curve; female: outside it
# form: {body: block, backing: $backing, sheet: $sheet}   # band: a ring of that width behind the face
# part: {tolerance: $tolerance, end_trim: $trim}
# The sheet as measured, the bag, the clamps and the pump are the shop's: name them once, in shop.yaml beside this file.
""")
_LEGS = (
    "# legs: {length: $legs, run: tangent}   # straight runs below the springing, in one with the arch; or run: plumb"
)

_NUMBERS = {
    "in": {
        "units": "in", "example": "4 9/16, 5' 11-1/2\" or 19 mm",
        "span": "48 1/2", "rise": "9 1/4", "depth": "4 9/16", "thickness": "3/4",
    },
    "mm": {
        "units": "mm", "example": "1232, 1.2 m or 3/4 in",
        "span": "1230", "rise": "235", "depth": "116", "thickness": "18",
    },
}  # fmt: skip


#: The recipe of what was answered.
_ANSWERED = Template("""\
# $name: `formgen check $name.yaml` answers, `formgen build $name.yaml` writes the files.
$drawing
units: $units

arch: {$arch}
measured_on: $measured_on
depth: $depth
thickness: $thickness
wood: $wood
way: $way
$typed
$more""")
_USUAL = {
    "in": {"tolerance": "1/32", "sheet": "MDF 3/4 in", "backing": "6", "legs": "6", "plies": "6", "trim": "1"},
    "mm": {"tolerance": "0.8", "sheet": "MDF 18 mm", "backing": "150", "legs": "150", "plies": "6", "trim": "25"},
}
#: By its dotted name, what stands where nothing was answered.
UNANSWERED: Mapping[str, str] = {
    "part.measured_on": "inside", "press.way": "part-bagged",
}  # fmt: skip
#: Keys that may be answered and have a line of their own only then.
_SELDOM = ("laminate.plies", "laminate.adhesive", "press.side")
#: What YAML reads as it stands.
_BARE_TEXT = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ./_-]*")


def answered_recipe(name: str, units: Units, answers: Mapping[str, str], lies: Lies | None = None) -> str:
    """The text of a recipe with what was answered.

    Args:
        name: the recipe's name, which was checked.
        units: `in` or `mm`.
        answers: values as they were typed, by their dotted names: `part.arch.span`, `laminate.wood`.
        lies: how the part lies on the wall, for the drawing in the comment; None leaves it out.
    """
    held = {**UNANSWERED, **answers}
    arch = {key.rpartition(".")[2]: value for key, value in held.items() if key.startswith("part.arch.")}
    drawing = "" if lies is None else f"# A {lies}: it {CALLED[lies]}.\n#\n{_commented(DRAWINGS[lies])}\n#"
    values = {key.rpartition(".")[2]: _scalar(value) for key, value in held.items()}
    legs = _legs(held)
    typed = [legs] if legs else []
    typed += [f"{key.rpartition('.')[2]}: {_scalar(held[key])}" for key in _SELDOM if key in held]
    return _ANSWERED.substitute(
        values,
        drawing=drawing or "#",
        name=name,
        units=units,
        arch=", ".join(f"{key}: {_scalar(value)}" for key, value in arch.items()),
        typed="".join(f"{line}\n" for line in typed),
        more=_more(name, units, legs=not legs),
    )


def _legs(held: Mapping[str, str]) -> str:
    """The line of the legs; none where the part has none."""
    length, run = held.get("part.legs", "0"), held.get("part.legs.run")
    if length.strip() == "0":
        return ""
    return f"legs: {{length: {_scalar(length)}, run: {run}}}" if run else f"legs: {_scalar(length)}"


def _more(name: str, units: Units, *, legs: bool) -> str:
    """The comments on what else may be typed."""
    usual = _USUAL[units]
    said = _MORE.substitute(usual, legs=Template(_LEGS).substitute(usual) if legs else "#").replace("NAME", name)
    return said if legs else said.replace("#\n", "", 1)


def _commented(drawing: str) -> str:
    return "\n".join(f"# {line}".rstrip() for line in drawing.splitlines())


def _scalar(text: str) -> str:
    """The text as YAML holds it: in quotes where it would read something else."""
    plain = _BARE_TEXT.fullmatch(text) and not text.endswith(" ")
    return text if plain else json.dumps(text, ensure_ascii=False)


def starting_recipe(name: str, units: Units) -> str:
    """The text of a recipe that loads as it stands.

    Args:
        name: the recipe's name.
        units: `in` or `mm`.

    Raises:
        RecipeError: the name cannot be a folder's name.
    """
    try:
        checked = checked_name(name)
    except ValueError as error:
        raise RecipeError(f"name = {quoted(name)}, {error}") from None
    return _TEXT.substitute(_NUMBERS[units], more=_more(checked, units, legs=True))
