"""Stage `reports`: the template as PDF files: tiled over the shop's paper, and in one piece for a plotter.

In: a Form. Out: the bytes of `template.pdf` and `template-roll.pdf`, true to size; printing at 100 % is set in both.
"""

from __future__ import annotations

from formgen.drafting.paper import SIZES_MM, begin_page, new_pdf
from formgen.drafting.to_pdf import put
from formgen.holding.model import Holding
from formgen.reports.drawing.subject import Subject
from formgen.reports.rows.makes import code_text
from formgen.reports.template.contents import Contents
from formgen.reports.template.fewest import fewest_pages
from formgen.reports.template.key import key_pages
from formgen.reports.template.page import check_bars, foot, register
from formgen.reports.template.roll import rolled
from formgen.reports.template.tiles import inside, tile_name
from formgen.reports.template.window import Whole, draw_window, named_on, shown_on
from formgen.verdict import MARK


def template(form: Holding) -> tuple[bytes, bytes]:
    """The tiled template and the one for a roll."""
    contents = Contents(Subject(form))
    name = named(contents.subject)
    return tiled(contents, name), rolled(contents, name)


def named(subject: Subject) -> str:
    """The form's code and name, with the mark before them where the part must not be pressed."""
    name = f"{code_text(subject.form)}, {subject.recipe.name}"
    return name if subject.form.verdict.may else f"{MARK}: {name}"


def tiled(contents: Contents, name: str) -> bytes:
    """A key and the pages that hold something to be cut, each with the names of what it shows.

    Args:
        contents: what the template shows.
        name: of the form, for the foot.
    """
    subject = contents.subject
    asked = subject.recipe.asked
    paper = SIZES_MM[subject.recipe.shop.paper.sizes(asked.units)[0]]
    grid, pages = fewest_pages(paper, contents.segments)
    windows = [inside(grid.cell(*page), 1.0) for page in pages]
    whole = Whole.of(contents, windows)
    with new_pdf(*grid.paper_mm, f"{asked.name}: full-size template") as pdf:
        for i, key in enumerate(key_pages(contents, grid, pages)):
            if i:
                pdf.canvas.showPage()
                begin_page(pdf.canvas)
            put(pdf.canvas, key)
        for number, page in enumerate(pages, 1):
            pdf.canvas.showPage()
            begin_page(pdf.canvas)
            shown = draw_window(pdf.canvas, whole, grid, page)
            put(pdf.canvas, named_on(shown_on(shown, contents, grid, page, pages), contents, grid, page))
            put(pdf.canvas, register(grid))
            put(pdf.canvas, check_bars(asked.units))
            put(pdf.canvas, foot(grid, name, tile_name(*page), f"{number} of {len(pages)}"))
    return pdf.content
