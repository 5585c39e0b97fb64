"""The tables of what a drawing may say: every release passes whole; what is added, doubled or altered is refused."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from formgen.form.model import Form
from formgen.outputs.dxf.grammar import Tag, refusals
from formgen.outputs.dxf.layers import write_layer, write_stack
from formgen.outputs.dxf.reader import number_in, tags_of

Make = Callable[[str, str, str], Form]


@pytest.mark.parametrize("version", ["R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"])
@pytest.mark.parametrize("kind", ["block", "band"])
def test_what_is_written_is_allowed(make_form: Make, tmp_path: Path, version: str, kind: str) -> None:
    form = make_form(kind, version, "in")
    for layer in form.layers:
        write_layer(form, layer, tmp_path / "a.dxf")
        assert list(refusals(tags_of((tmp_path / "a.dxf").read_bytes()))) == []
    write_stack(form, tmp_path / "a.dxf")
    assert list(refusals(tags_of((tmp_path / "a.dxf").read_bytes()))) == []


@pytest.mark.parametrize("version", ["R12", "R2000", "R2018"])
def test_no_group_code_can_be_said_twice_added_or_left_out(make_form: Make, tmp_path: Path, version: str) -> None:
    """Every tag of an entity in turn is doubled and left out; every other group code up to 999 is added to a circle."""
    form = make_form("block", version, "mm")
    write_layer(form, form.layers[0], tmp_path / "a.dxf")
    tags = tags_of((tmp_path / "a.dxf").read_bytes())
    begin = tags.index((2, "ENTITIES")) + 1
    circle = tags.index((0, "CIRCLE"), begin)
    end = next(i for i in range(circle + 1, len(tags)) if tags[i][0] == 0)
    for i in range(circle + 1, end):
        assert list(refusals([*tags[:i], tags[i], *tags[i:]])), f"{tags[i]} twice"
        assert list(refusals([*tags[:i], *tags[i + 1 :]])), f"no {tags[i]}"
    held = {code for code, _ in tags[circle:end]}
    for code in set(range(1, 1000)) - held:
        assert list(refusals([*tags[:end], (code, "0"), *tags[end:]])), f"group code {code}"


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ((0, "VERTEX"), (0, "CIRCLE"), "VERTEX|CIRCLE"),
        ((0, "SEQEND"), (0, "LINE"), "LINE"),
        ((66, "1"), (66, "0"), "group code 66 = 0"),
        ((70, "1"), (70, "9"), "group code 70 = 9"),
    ],
)
def test_an_old_polyline_is_whole(make_form: Make, tmp_path: Path, old: Tag, new: Tag, says: str) -> None:
    form = make_form("block", "R12", "mm")
    write_layer(form, form.layers[0], tmp_path / "a.dxf")
    tags = tags_of((tmp_path / "a.dxf").read_bytes())
    where = tags.index(old, tags.index((2, "ENTITIES")))
    found = list(refusals([*tags[:where], new, *tags[where + 1 :]]))
    assert any(word in line for line in found for word in says.split("|")), found


@pytest.mark.parametrize("text", ["nan", "inf", "1_0", "1e308", "٣", "0x1", "", "1,5", "3e9", "1" * 400])
def test_what_is_no_number_of_a_drawing_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="is no number of a drawing"):
        number_in(text)
