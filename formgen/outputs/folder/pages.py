"""Stage `outputs`: pages for people, made by a later stage and kept with the files: written, hashed and verified alike.

In: what makes them. This stage knows a page's name and its bytes, not what it shows: `reports` makes them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from formgen.holding.model import Holding

#: SHA-256 and size of each file, by its name, as the job record holds them.
Files = Mapping[str, Mapping[str, Any]]


@dataclass(frozen=True, kw_only=True)
class Page:
    """A page, or several that are made together and so cannot disagree.

    Args:
        names: of its files, relative to the form's folder.
        make: their contents, in the same order; the same form gives the same bytes. It is told the files that were
            written before: with `lists_files` all others, else none.
        lists_files: the page tells the hashes of all other files, so it is made last.
    """

    names: tuple[str, ...]
    make: Callable[[Holding, Files], tuple[bytes, ...]]
    lists_files: bool = False


def page_files(pages: Sequence[Page]) -> tuple[str, ...]:
    """The names of all pages' files."""
    return tuple(name for page in pages for name in page.names)


def write_pages(form: Holding, pages: Sequence[Page], files: Files, folder: Path) -> None:
    """Write pages."""
    for page in pages:
        for name, content in zip(page.names, page.make(form, files), strict=True):
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
