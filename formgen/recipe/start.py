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
format: 1
name: $name
units: $units

part:
  arch:
    kind: segmental        # or semicircle, ellipse, three-centred, pointed, chain, points, ...
    span: $span
    rise: $rise
  measured_on: inside      # the face that span and rise were measured on: inside, outside or centre
  legs: 0                  # straight runs below the springing points, bent in one with the arch: $legs;
                           # an arch of less than a half turn springs at an angle and wants to know how they stand:
                           # {length: $legs, run: plumb} or {length: $legs, run: tangent}
  depth: $depth            # size across the wall, finished

laminate:
  wood: white oak
  thickness: $thickness    # of the whole part
  plies: $plies            # equal ones; or a list of groups with count and thickness

press:
  side: male               # the form lies inside the curve; female: outside it
  way: part-bagged         # the bag goes round the part; form-bagged: round form and part; clamped: no bag
  # the bag lies between part and form: measure it and name it once, in shop.yaml beside this file:
  #   bag: {sheeting: vinyl, thickness: 0.5 mm}
  vacuum: $vacuum

form:
  body: block              # down to a base line; band: of one width behind the face
""")

_NUMBERS = {
    "in": {
        "units": "in", "example": "4 9/16, 5' 11-1/2\" or 19 mm",
        "span": "48 1/2", "rise": "9 1/4", "legs": "6", "depth": "4 9/16",
        "thickness": "3/4", "plies": "6", "vacuum": "24 inHg",
    },
    "mm": {
        "units": "mm", "example": "1232, 1.2 m or 3/4 in",
        "span": "1230", "rise": "235", "legs": "150", "depth": "116",
        "thickness": "18", "plies": "6", "vacuum": "80 kPa",
    },
}  # fmt: skip


#: The recipe of what was answered: the answers, and in comments what else a recipe may say, with usual values.
_ANSWERED = Template("""\
# $name: `formgen check $name.yaml` answers, `formgen build $name.yaml` writes the files.
$drawing
format: 1
name: $quoted
units: $units

part:
  arch: {$arch}
  measured_on: $measured_on
  $legs
  depth: $depth
  # tolerance: $tolerance

laminate:
  wood: $wood
  thickness: $thickness
  plies: $plies
  # adhesive: urea formaldehyde  # `formgen show adhesives`: weight and times follow from the glue

press:
  side: $side
  way: $way

# Usual while it stands behind a #:
# form:
#   sheet: $sheet  # better: a sheet of your shop.yaml, its thickness as measured
#   body: block  # down to a base line; band: of one width behind the face
#   backing: $backing  # width of the band, least depth of the block
""")
_USUAL = {
    "in": {"tolerance": "1/32", "sheet": "MDF 3/4 in", "backing": "6", "legs": "14"},
    "mm": {"tolerance": "0.8", "sheet": "MDF 18 mm", "backing": "150", "legs": "350"},
}
#: By its dotted name, what stands where nothing was answered.
UNANSWERED: Mapping[str, str] = {
    "part.measured_on": "inside", "laminate.plies": "auto", "press.side": "auto", "press.way": "part-bagged",
}  # fmt: skip
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
    return _ANSWERED.substitute(
        {**_USUAL[units], **values},
        drawing=drawing or "#",
        name=name,
        quoted=_as_text(name),
        units=units,
        arch=", ".join(f"{key}: {_scalar(value)}" for key, value in arch.items()),
        legs=_legs(held, _USUAL[units]["legs"]),
    )


def _legs(held: Mapping[str, str], usual: str) -> str:
    """The line of the legs; a comment where the part has none."""
    length, run = held.get("part.legs", "0"), held.get("part.legs.run")
    if length.strip() == "0":
        return f"# legs: {usual}  # straight runs below the springing points, bent in one with the arch"
    return f"legs: {{length: {_scalar(length)}, run: {run}}}" if run else f"legs: {_scalar(length)}"


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
    return _TEXT.substitute(_NUMBERS[units], name=_as_text(checked))


def _as_text(name: str) -> str:
    """The name in quotes where YAML would read a number, true or false."""
    return name if name[0].isalpha() and name.lower() not in ("true", "false", "null") else f'"{name}"'
