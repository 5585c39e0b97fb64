"""Stage `recipe`: a recipe to start from, with a comment on every key. The numbers are invented and want replacing."""

from __future__ import annotations

from string import Template

from formgen.errors import RecipeError
from formgen.lengths import Units
from formgen.quoted import quoted
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
