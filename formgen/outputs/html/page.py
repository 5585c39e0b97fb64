"""Stage `outputs`: what all pages have in common: style, scripts and content policy, and the tables that they hold.

In: a template and values. Out: a page. It holds its style and its scripts itself and forbids everything else by its
content policy: whatever slipped in as markup would neither run nor load. It holds no date: the same values give the
same bytes.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from formgen.outputs.html.look import look
from formgen.outputs.templates import asset, filled


@dataclass(frozen=True)
class Columns:
    """A table with a header and named rows: the first cell of each names it.

    Args:
        caption: what it holds.
        header: of the columns.
        rows: cells; numbers are written as they are given.
    """

    caption: str
    header: Sequence[str]
    rows: Iterable[Sequence[object]]


def rows_joined(rows: Iterable[tuple[str, str]]) -> list[tuple[str, list[str]]]:
    """Rows (what, lines of the answer) of rows (what, answer): one without a `what` goes on with the one before."""
    joined: list[tuple[str, list[str]]] = []
    for what, answer in rows:
        if what or not joined:
            joined.append((what, [answer]))
        else:
            joined[-1][1].append(answer)
    return joined


def page(template: str, title: str, sections: Mapping[str, str], scripts: Sequence[str] = (), **values: Any) -> bytes:
    """The whole page.

    Args:
        template: one that extends `outputs/html/page.html`.
        title: of the window.
        sections: their titles by their names, in the order of the contents.
        scripts: files of this package that it runs, in order.
        values: what else the template names.
    """
    style, run = look() + asset("outputs/html/page.css"), [asset(name) for name in scripts]
    hashes = {"style_hash": _hash(style), "script_hashes": [_hash(script) for script in run]}
    common = {"title": title, "sections": sections, "style": style, "scripts": run}
    return filled(template, **common, **hashes, **values).encode()


def _hash(content: str) -> str:
    """Say what a content policy calls an inline style or script by."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(content.encode()).digest()).decode()}'"
