"""A form of bands and its sheets, in a folder of results: what the tests of sheets and of their hand-over share."""

from __future__ import annotations

from pathlib import Path

from formgen.form.model import Form
from formgen.outputs.folder.write import write_all
from formgen.outputs.sheets.folder import write_sheets
from formgen.pipeline import run
from formgen.recipe.load import load_recipe
from formgen.sheets.layout import sheet_forms
from formgen.sheets.model import Sheets

RECIPE = """\
format: 1
name: niche
units: mm
part: {arch: {kind: semicircle, span: 900}, measured_on: inside, depth: 60}
laminate: {wood: white ash, thickness: 18, plies: 6}
press: {side: male}
form: {sheet: mdf, body: band, backing: 90, least_pieces: 3}
"""
SHOP = """\
format: 1
name: shop
units: mm
sheets: {mdf: {thickness: 18.1, length: 1200, width: 600}}
"""
Laid = tuple[Path, Form, Sheets]


def lay_out(folder: Path) -> Laid:
    """A form of bands in three pieces a layer, and its sheets."""
    (folder / "niche.yaml").write_text(RECIPE, encoding="utf-8")
    (folder / "shop.yaml").write_text(SHOP, encoding="utf-8")
    form = run(load_recipe(folder / "niche.yaml"))
    write_all(form, folder / "out")
    shop = form.recipe.shop
    sheets = sheet_forms([form], shop, "preview", engine="quick", openings={"niche": ("N-1", "=N-2")})
    write_sheets(sheets, folder / "out")
    return folder / "out", form, sheets


def contents(folder: Path) -> dict[str, bytes]:
    return {p.name: p.read_bytes() for p in sorted(folder.iterdir())}
