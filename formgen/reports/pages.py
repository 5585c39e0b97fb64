"""Stage `reports`: every page that is written with a form's files, in the order of writing.

In: a Form. Out: bytes. A page shows numbers that exist already; its maker is imported when the page is made, so that
checking a recipe never pays for it.
"""

from __future__ import annotations

from formgen.exports.pages import Page

PAGES: tuple[Page, ...] = ()
