"""Labels: what the short and the long form say, and which way the arrow points on every piece."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

import pytest

from formgen.form.marking.lettering import strokes_of, text_width
from formgen.form.model import Form
from formgen.form.stack import Label
from formgen.form.stage import make_form

LONG = ("units: mm\n\nsheet:", "units: mm\nrouter: {labels: long}\nsheet:")
#: A ring in one piece with legs and a bar; an arc of two pieces a layer; a form in the bag.
NAMES = ["porch-door-jamb", "lending-desk-panel", "newel-handrail", "stair-corner"]


def said(labels: tuple[Label, ...]) -> str:
    """All texts of a piece."""
    return "  ".join(label.text for label in labels)


def words(form: Form) -> set[str]:
    """Every word on a form, names, layers and sizes aside."""
    return {word for _, piece in form.pieces for word in said(piece.labels).split() if word.isalpha()}


def test_a_short_label_says_name_layer_piece_and_side(shipped: Form) -> None:
    name, count = shipped.recipe.name.upper(), len(shipped.layers)
    for layer in shipped.layers:
        for number, piece in enumerate(layer.pieces, start=1):
            which = f"↑ L{layer.number:02d}/{count:02d}"
            if len(layer.pieces) > 1:
                which += f" P{number}/{len(layer.pieces)}"
                assert piece.name == f"L{layer.number:02d}-{number}"  # so that the cut list finds it
            assert f"{name}  {which}  THIS SIDE UP" in said(piece.labels)
    assert words(shipped) <= {"THIS", "SIDE", "UP", "TRIM", "BAR"}


@pytest.mark.parametrize("name", NAMES)
def test_a_long_label_says_radius_and_lines_too(changed: Callable[..., Form], name: str) -> None:
    form = changed(name, shop=(LONG,))
    for layer, piece in form.pieces:
        text = said(piece.labels)
        assert f"LAYER {layer.number:02d} OF {len(form.layers):02d}" in text
        assert ("PIECE" in text) == (len(layer.pieces) > 1)
        assert "THIS SIDE UP" in text
        assert "FACE R" in text
        outermost = layer.number in {1, len(form.layers)}
        assert ("EASE EDGES UNDER FILM" in text) == (form.pressing.form_in_bag and outermost)
        assert "↑" not in text
    named = words(form)
    marked = {mark.kind for _, piece in form.pieces for mark in piece.marks}
    assert {"CENTRE", "LINE"} <= named or "centre line" not in marked
    assert "SPRINGING" in named or "springing line" not in marked


@pytest.mark.parametrize("name", NAMES)
def test_the_length_of_a_label_changes_nothing_that_is_cut_and_no_line(
    changed: Callable[..., Form], made: Callable[[str], Form], name: str
) -> None:
    """Only the words differ, and the engraver goes down into the wood a third less often at least."""
    short, long = made(name), changed(name, shop=(LONG,))
    for (_, a), (_, b) in zip(short.pieces, long.pieces, strict=True):
        assert a.cut == b.cut
        assert a.marks == b.marks
    assert strokes_on(short) < strokes_on(long) * 2 / 3


def test_a_marked_piece_says_so_first_in_the_short_form_too(made: Callable[[str], Form]) -> None:
    form = made("lending-desk-panel")
    for _, piece in make_form(form.pressing, do_not_press=True).pieces:
        assert said(piece.labels).startswith("DO NOT PRESS  ")


@pytest.mark.parametrize("angle", [0.0, math.pi / 2, 0.6, -0.6, -math.pi / 2])
def test_the_arrow_points_up_however_the_text_is_turned(angle: float) -> None:
    """The shaft stands upright, its tip on top, half the height of a letter round the middle of its cell."""
    shaft, head = strokes_of("↑", (100.0, 50.0), 10.0, angle)
    half = text_width("↑", 10.0) / 2
    x = 100.0 + math.cos(angle) * half - math.sin(angle) * 5.0
    y = 50.0 + math.sin(angle) * half + math.cos(angle) * 5.0
    assert [*shaft[0], *shaft[1]] == pytest.approx([x, y - 5.0, x, y + 5.0])
    tip = head[1]
    assert tip == pytest.approx(shaft[1])
    assert all(barb[1] < tip[1] - 2.0 for barb in (head[0], head[2]))
    assert all(math.dist(point, (x, y)) <= 5.0 + 1e-9 for point in (*shaft, *head))


def test_arrows_of_a_stack_all_point_alike(shipped: Form) -> None:
    """The second point of the shaft lies straight above the first, on every piece of every form."""
    arrows = list(arrows_of(shipped))
    assert len(arrows) == len(shipped.pieces)
    for (x0, y0), (x1, y1) in arrows:
        assert x1 == pytest.approx(x0, abs=1e-9)
        assert y1 > y0


def arrows_of(form: Form) -> Iterator[tuple[tuple[float, float], tuple[float, float]]]:
    """The shaft of the arrow on each piece: the stroke that comes after those of the letters before it."""
    for _, piece in form.pieces:
        for label in piece.labels:
            before, arrow, _ = label.text.partition("↑")
            if arrow:
                begin, end = label.strokes[len(strokes_of(before, (0.0, 0.0), 10.0))]
                yield begin, end


def strokes_on(form: Form) -> int:
    """How often the engraver goes down for all labels of a form."""
    return sum(len(label.strokes) for _, piece in form.pieces for label in piece.labels)


def test_the_names_of_a_pieces_lines_have_one_height(changed: Callable[..., Form]) -> None:
    """Each where it had room in letters of its own: the smallest gives the height of all."""
    form = changed("porch-door-jamb", shop=(LONG,))
    several = 0
    for _, piece in form.pieces:
        names = [label.height_mm for label in piece.labels if label.text in ("SPRINGING", "CENTRE LINE", "TRIM", "BAR")]
        assert len(set(names)) <= 1
        several += len(names) > 1
    assert several
