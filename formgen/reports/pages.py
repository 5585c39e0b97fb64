"""Stage `reports`: every page that is written with a form's files, in the order of writing.

In: a Form. Out: bytes. A page shows numbers that exist already; its maker is imported when the page is made, so that
checking a recipe never pays for it.
"""

from __future__ import annotations

from formgen.holding.model import Holding
from formgen.outputs.table import Files, Output, page


def _report(form: Holding, files: Files) -> tuple[bytes, ...]:
    from formgen.reports.web.report import report_page

    return report_page(form, files)


def _press_day(form: Holding, _files: Files) -> tuple[bytes, ...]:
    from formgen.reports.press_sheet.page import press_sheet

    return (press_sheet(form),)


def _drawing(form: Holding, _files: Files) -> tuple[bytes, ...]:
    from formgen.reports.drawing.sheets import shop_drawing

    return shop_drawing(form)


def _template(form: Holding, _files: Files) -> tuple[bytes, ...]:
    from formgen.reports.template.pdf import template

    return template(form)


def _gauge(form: Holding, _files: Files) -> tuple[bytes, ...]:
    from formgen.reports.gauge.page import gauge_page
    from formgen.reports.gauge.plate import gauge_dxf

    return gauge_page(form), gauge_dxf(form)


PAGES: tuple[Output, ...] = (
    page("drawing.dxf", "drawing.pdf", make=_drawing),
    page("template.pdf", "template-roll.pdf", make=_template),
    page("press-day.pdf", make=_press_day),
    page("gauge.pdf", "gauge.dxf", make=_gauge),
    page("report.html", make=_report, lists_files=True),
)
