"""The nine parts whose press-day sheets stand as goldens: three ways of pressing, each male, female, without legs."""

from __future__ import annotations

from pathlib import Path

from formgen.holding.model import Holding
from formgen.pipeline import run
from formgen.recipe.load import load_recipe

WAYS = ("part-bagged", "form-bagged", "clamped")
#: The arch, its legs and the side of the form, of each kind of part.
KINDS = {
    "male": ("{kind: semicircle, span: 36}", "\n  legs: {length: 14, run: plumb}", "male"),
    "female": ("{kind: semicircle, span: 36}", "\n  legs: {length: 10, run: plumb}", "female"),
    "no-legs": ("{kind: segmental, span: 48, rise: 9 1/2}", "", "male"),
}
CASES = tuple(f"{way}-{kind}" for way in WAYS for kind in KINDS)

_RECIPE = """\
format: 1
name: north-door
units: in
part:
  arch: {arch}
  measured_on: inside{legs}
  depth: 4 1/2
laminate:
  wood: white ash
  thickness: 3/4
  plies: 6
{glue}press:
  side: {side}
  way: {way}
form:
  sheet: mdf-3-4
  backing: 6
"""
_SHOP = """\
format: 1
name: bench
units: in
sheet: mdf-3-4
sheets:
  mdf-3-4: {thickness: 0.75 in, length: 97 in, width: 49 in}
cutter: {diameter: 3/8 in, margin: 3/16 in}
clamp: {jaw: 1 3/4 in, play: 3/16 in}
bar: {height: 1 3/8 in, width: 1 1/4 in, play: 1/8 in}
dowel: {diameter: 3/8 in}
pump: {flow_m3_per_h: 5, vacuum: 24 inHg}
"""


def case(name: str, folder: Path, *, glue: str = "urea formaldehyde") -> Holding:
    """The part of a case, `part-bagged-male`, made in a folder; an empty glue leaves it unnamed."""
    way = next(way for way in WAYS if name.startswith(way))
    arch, legs, side = KINDS[name.removeprefix(f"{way}-")]
    named = f"  adhesive: {glue}\n" if glue else ""
    text = _RECIPE.format(arch=arch, legs=legs, side=side, way=way, glue=named)
    (folder / "north-door.yaml").write_text(text, encoding="utf-8")
    (folder / "shop.yaml").write_text(_SHOP, encoding="utf-8")
    return run(load_recipe(folder / "north-door.yaml"))
