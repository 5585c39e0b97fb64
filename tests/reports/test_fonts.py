"""Fonts of every PDF of a build, read from the file's own objects (ISO 32000-1, 9.6 to 9.9)."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from formgen.form.model import Form
from formgen.outputs.folder.write import write_all
from formgen.reports.pages import PAGES


def fonts_of(content: bytes) -> dict[str, bool]:
    """Every font that a file lists, by its name, and whether its letters are in the file."""
    objects = dict(re.findall(rb"(\d+) 0 obj(.*?)endobj", content, re.DOTALL))
    found = {}
    for body in objects.values():
        name = re.search(rb"/BaseFont /([^\s/]+)", body)
        if name and re.search(rb"/Type /Font\b", body):
            told = re.search(rb"/FontDescriptor (\d+) 0 R", body)
            held = re.search(rb"/FontFile[23]? (\d+) 0 R", objects[told[1]]) if told else None
            found[name[1].decode()] = bool(held and b"stream" in objects[held[1]])
    return found


@pytest.mark.parametrize("name", ["porch-door-jamb", "newspaper-stall"])
def test_every_font_of_every_pdf_is_embedded(made: Callable[[str], Form], tmp_path: Path, name: str) -> None:
    folder = write_all(made(name), tmp_path, pages=PAGES)
    printed = sorted(folder.rglob("*.pdf"))
    assert len(printed) == 5
    for path in printed:
        fonts = fonts_of(path.read_bytes())
        assert fonts, path.name
        assert [font for font, embedded in fonts.items() if not embedded] == [], path.name
        assert all("BenchGothic" in font for font in fonts), path.name


def test_a_font_that_is_not_embedded_is_seen() -> None:
    content = b"1 0 obj\n<<\n/BaseFont /Helvetica /Subtype /Type1 /Type /Font\n>>\nendobj\n"
    assert fonts_of(content) == {"Helvetica": False}
