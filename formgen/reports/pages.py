"""Stage `reports`: every page that is written with a form's files, in the order of writing.

In: a Form. Out: bytes. A page shows numbers that exist already; its maker is imported when the page is made, so that
checking a recipe never pays for it.
"""

from __future__ import annotations

from formgen.exports.pages import Files, Page
from formgen.form.model import Form


def _report(form: Form, files: Files) -> tuple[bytes, ...]:
    from formgen.reports.web.report import report_page

    return report_page(form, files)


PAGES: tuple[Page, ...] = (Page(names=("report.html",), make=_report, lists_files=True),)
