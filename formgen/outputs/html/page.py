"""Stage `outputs`: what all pages have in common: style, scripts and content policy, and the tables that they hold.

In: a template and values. Out: a page. It holds its style and its scripts itself and forbids everything else by its
content policy: whatever slipped in as markup would neither run nor load. It holds no date: the same values give the
same bytes.
"""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from html import escape
from typing import Any

from formgen.fixed import fixed
from formgen.lengths import Units
from formgen.outputs.html.look import look
from formgen.outputs.svg import Svg
from formgen.outputs.templates import asset, filled

#: Opens folded sections for paper and for links, in browsers that do not do it by themselves.
FOLDING = "outputs/html/folding.js"
#: A number, or two with a sign between them, and its unit: `36 3/4 in`, `0.98 %`, `12 × 8 mm`.
_NUMBER = re.compile(r"[-\u2212]?\d[\d./]*(?: \d+/\d+)?(?: × \d[\d./]*(?: \d+/\d+)?)*(?: (\D{1,6}))?")
_DIGIT = re.compile(r"\d")


@fixed
class Column:
    """A column of a table, as it is set.

    Args:
        head: what it holds, with the unit that all of its numbers have.
        kind: `n` for figures, `whole` for what no line may end in, else empty.
        unit: what is in the head and no more in the cells.
    """

    head: str
    kind: str
    unit: str

    @cached_property
    def named(self) -> Svg:
        """Return what the tags of its cells hold beside their names where no card repeats its head."""
        return Svg(f' class="{self.kind}"' if self.kind else "")

    @cached_property
    def labelled(self) -> Svg:
        """The same, with its head for a card."""
        return Svg(f'{self.named} data-label="{escape(self.head)}"')

    def written(self, cell: object) -> object:
        """A cell as it is written: figures without the unit, and with a true minus."""
        if self.kind != "n" or not isinstance(cell, str):
            return cell
        bare = cell.removesuffix(f" {self.unit}") if self.unit else cell
        return f"\u2212{bare[1:]}" if bare.startswith("-") else bare


@dataclass(frozen=True)
class Columns:
    """A table with a header and named rows: the first cell of each names it.

    A column of numbers is set to the right; a unit that all of them have stands once, in its head.

    Args:
        caption: what it holds.
        header: of the columns.
        rows: cells; numbers are written as they are given, markup as it is.
        whole: heads of the columns that are never broken: names of files.
    """

    caption: str
    header: Sequence[str]
    rows: Iterable[Sequence[object]]
    whole: Collection[str] = ()

    @cached_property
    def held(self) -> list[Sequence[object]]:
        """The rows, of which an iterator gives only one reading."""
        return list(self.rows)

    @cached_property
    def columns(self) -> list[Column]:
        """The columns, each as it is set."""
        held = zip(*self.held, strict=True) if self.held else ([] for _ in self.header)
        return [self._column(head, cells) for head, cells in zip(self.header, held, strict=True)]

    @property
    def cells(self) -> Iterator[list[tuple[Svg, object]]]:
        """The rows: of each cell the attributes of its tag, and what stands in it. A name needs no head."""
        if not self.columns:
            return
        first, *others = self.columns
        tags = [first.labelled if first.kind == "n" else first.named, *(column.labelled for column in others)]
        for row in self.held:
            yield [(told, column.written(cell)) for told, column, cell in zip(tags, self.columns, row, strict=True)]

    def _column(self, head: str, cells: Iterable[object]) -> Column:
        if head in self.whole:
            return Column(head=head, kind="whole", unit="")
        units = set()
        for cell in cells:
            said = "" if cell is None else str(cell)
            number = _NUMBER.fullmatch(said)
            if number is not None:
                units.add(number[1] or "")
            elif _DIGIT.search(said):
                return Column(head=head, kind="", unit="")
        unit = next(iter(units)) if len(units) == 1 else ""
        return Column(head=f"{head}, {unit}" if unit else head, kind="n" if units else "", unit=unit)


def rows_joined(rows: Iterable[tuple[str, str]]) -> list[tuple[str, list[str]]]:
    """Rows (what, lines of the answer) of rows (what, answer): one without a `what` goes on with the one before."""
    joined: list[tuple[str, list[str]]] = []
    for what, answer in rows:
        if what or not joined:
            joined.append((what, [answer]))
        else:
            joined[-1][1].append(answer)
    return joined


def page(
    template: str, title: str, sections: Mapping[str, str], scripts: Sequence[str] = (), *, running: str = "",
    units: Units = "mm", **values: Any,
) -> bytes:  # fmt: skip
    """The whole page.

    Args:
        template: one that extends `outputs/html/page.html`.
        title: of the window.
        sections: their titles by their names, in the order of the contents.
        scripts: files of this package that it runs, in order.
        running: what stands at the head of each printed page; the title where it is empty.
        units: of the shop, which say on what paper it is printed.
        values: what else the template names.
    """
    paper = "letter" if units == "in" else "A4"
    head = f'@page {{ size: {paper}; @top-left {{ content: "{_in_css(running or title)}"; }} }}\n'
    style, run = look() + asset("outputs/html/page.css") + head, [asset(name) for name in scripts]
    hashes = {"style_hash": _hash(style), "script_hashes": [_hash(script) for script in run]}
    common = {"title": title, "sections": sections, "style": style, "scripts": run}
    return filled(template, **common, **hashes, **values).encode()


def _in_css(said: str) -> str:
    """A text inside quotes of a style sheet: all but letters, figures and spaces by their numbers."""
    return "".join(c if c.isalnum() or c == " " else f"\\{ord(c):x} " for c in " ".join(said.split()))


def _hash(content: str) -> str:
    """Say what a content policy calls an inline style or script by."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(content.encode()).digest()).decode()}'"
