"""Stage `reports`: HTML of which every text is escaped: tables, lists of facts, sections, and the page round them.

In: texts. Out: markup. A page holds its style and its scripts itself and forbids everything else by its content policy:
whatever slipped in as markup would neither run nor load. It holds no date: the same texts give the same bytes.
"""

from __future__ import annotations

import base64
import hashlib
import html
import json
import re
from collections.abc import Iterable, Sequence
from functools import cache
from importlib.resources import files
from typing import Any

#: Spaces inside a length or between a number and its unit, at which a line must not end.
_TIED = (
    (re.compile(r"(?<=≈) "), "\u00a0"),
    (re.compile(r"(?<=\d) (?=\d+/\d+)"), "\u00a0"),
    (
        re.compile(
            r"(?<=\d) (?=(?:in|mm|m|m²|ft|ft²|ft³|l|lb|lbf|psi|inHg|kPa|MPa|GPa|kN|N|kg|g/m²|min|h|s|°F|°C|%)\b)"
        ),
        "\u00a0",
    ),
    (re.compile(r"(?<=\d) (?=%)"), "\u00a0"),
)


def text(said: object) -> str:
    """A text as markup: escaped, its numbers tied to their units."""
    return html.escape(tied(str(said)))


def tied(said: str) -> str:
    """A text with its numbers tied to their units."""
    for pattern, tie in _TIED:
        said = pattern.sub(tie, said)
    return said


def attribute(said: object) -> str:
    """A text as it may stand between double quotes."""
    return html.escape(str(said), quote=True)


def facts(rows: Iterable[tuple[str, str]]) -> str:
    """The few answers that matter most, each below what it answers."""
    cells = "".join(f"<div><dt>{text(what)}</dt><dd>{text(answer)}</dd></div>" for what, answer in rows)
    return f'<dl class="facts">{cells}</dl>'


def rows_table(caption: str, rows: Iterable[tuple[str, str]]) -> str:
    """A table of (what, answer); a row without a `what` goes on with the one before."""
    body: list[str] = []
    for what, lines in _joined(rows):
        said = "<br>".join(text(line) for line in lines)
        body.append(f'<tr><th scope="row">{text(what)}</th><td>{said}</td></tr>')
    return f'<table class="rows"><caption>{text(caption)}</caption><tbody>{"".join(body)}</tbody></table>'


def _joined(rows: Iterable[tuple[str, str]]) -> list[tuple[str, list[str]]]:
    joined: list[tuple[str, list[str]]] = []
    for what, answer in rows:
        if what or not joined:
            joined.append((what, [answer]))
        else:
            joined[-1][1].append(answer)
    return joined


def columns_table(caption: str, header: Sequence[str], rows: Iterable[Sequence[object]], *, wide: bool = True) -> str:
    """A table with a header and named rows: the first cell of each names it.

    Args:
        caption: what it holds.
        header: of the columns.
        rows: cells; numbers are written as they are given.
        wide: it may be broader than a phone: it then moves sideways in a frame of its own, by keys too.
    """
    head = "".join(f'<th scope="col">{text(cell)}</th>' for cell in header)
    body = "".join(
        f'<tr><th scope="row">{text(first)}</th>{"".join(f"<td>{text(cell)}</td>" for cell in rest)}</tr>'
        for first, *rest in rows
    )
    table = (
        f'<table class="columns"><caption>{text(caption)}</caption>'
        f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
    )
    return (
        f'<div class="wide" role="region" tabindex="0" aria-label="{attribute(caption)}">{table}</div>'
        if wide
        else table
    )


def section(name: str, title: str, *content: str) -> str:
    """A section that the page's contents lead to."""
    heading = f'<h2 id="{name}-title">{text(title)}</h2>'
    return f'<section id="{name}" aria-labelledby="{name}-title">{heading}{"".join(content)}</section>'


def contents(sections: Sequence[tuple[str, str]]) -> str:
    """Links to sections: (name, title)."""
    links = "".join(f'<li><a href="#{name}">{text(title)}</a></li>' for name, title in sections)
    return f'<nav aria-label="Contents"><ul>{links}</ul></nav>'


def data_block(name: str, held: Any) -> str:
    """Numbers for a script, as JSON that cannot end its block."""
    written = json.dumps(held, ensure_ascii=True, allow_nan=False, separators=(",", ":"))
    safe = written.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")
    return f'<script type="application/json" id="{name}">{safe}</script>'


def page(title: str, body: str, scripts: Sequence[str] = ()) -> str:
    """The whole page.

    Args:
        title: of the window.
        body: markup.
        scripts: files of this package that it runs, in order.
    """
    style, run = asset("page.css"), [asset(name) for name in scripts]
    policy = "; ".join(
        [
            "default-src 'none'",
            f"style-src {_hash(style)}",
            f"script-src {' '.join(_hash(script) for script in run) or chr(39) + 'none' + chr(39)}",
            "img-src data:",
            "base-uri 'none'",
            "form-action 'none'",
        ]
    )
    code = "".join(f"<script>{script}</script>\n" for script in run)
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<meta name="color-scheme" content="light dark">\n<meta name="referrer" content="no-referrer">\n'
        f"<title>{text(title)}</title>\n<style>{style}</style>\n</head>\n"
        f'<body>\n<a class="skip" href="#content">To the answers</a>\n{body}\n{code}</body>\n</html>\n'
    )


@cache
def asset(name: str) -> str:
    """A style or script of this package."""
    return files("formgen.reports.web").joinpath(name).read_text(encoding="utf-8")


def _hash(content: str) -> str:
    """What a content policy calls an inline style or script by."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(content.encode()).digest()).decode()}'"
