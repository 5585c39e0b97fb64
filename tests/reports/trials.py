"""Forms other than the shipped ones, for the tests of drawings and templates."""

from __future__ import annotations

from pathlib import Path

from formgen.form.model import Form
from formgen.pipeline import run
from formgen.recipe.load import load_recipe

RECIPES = Path(__file__).parents[2] / "recipes"
#: A 200 mm span and one of 4 m, in both units; and one with more plies and clamps than anybody uses.
TRIALS = {
    "small-mm": """\
units: mm
part: {arch: {kind: semicircle, span: 200}, measured_on: inside, depth: 40}
laminate: {wood: white ash, thickness: 6, plies: 6}
press: {side: male}
form: {body: block, backing: 80}
""",
    "large-mm": """\
units: mm
part: {arch: {kind: segmental, span: 4000, rise: 700}, measured_on: inside, depth: 140}
laminate: {wood: white ash, thickness: 60, plies: 20}
press: {side: male}
form: {body: band, backing: 180}
""",
    "small-in": """\
units: in
part: {arch: {kind: segmental, span: 8, rise: 2}, measured_on: outside, depth: 1}
laminate: {wood: white ash, thickness: 1/4, plies: 4}
press: {side: female}
form: {backing: 3}
""",
    "large-in": """\
units: in
part: {arch: {kind: ellipse, span: 156, rise: 40}, measured_on: inside, legs: 20, depth: 7}
laminate: {wood: white ash, thickness: 1, plies: 8}
press: {side: female}
form: {body: band, backing: 7}
""",
    "crowded-mm": """\
units: mm
part:
  arch: {kind: segmental, span: 4000, rise: 700}
  measured_on: inside
  depth: 60
  legs: {length: 1500, run: tangent}
laminate: {wood: white ash, thickness: 100, plies: 100}
press: {side: male}
form: {body: band, backing: 220, clamp_reliefs: {spacing: 150}}
""",
}

SPANS = ("small-mm", "large-mm", "small-in", "large-in")


def trial(name: str, folder: Path, paper: str = "") -> Form:
    """A form of its own."""
    path = folder / f"{name}.yaml"
    path.write_text(f"format: 1\nname: {name}\n{TRIALS[name]}", encoding="utf-8")
    shop = (RECIPES / "shop.yaml").read_text(encoding="utf-8") + (f"paper: {{{paper}}}\n" if paper else "")
    (folder / "shop.yaml").write_text(shop, encoding="utf-8")
    return run(load_recipe(path))
