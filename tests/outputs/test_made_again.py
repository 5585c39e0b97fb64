"""How near a file must be to what is made of the model now: each byte, but for last digits and a mesh's rounding."""

from __future__ import annotations

import struct

import pytest

from formgen.outputs.folder.verify import holds_the_same

#: Fractions and what may stand in their place on another processor, or may not.
TEXTS = [
    (b"10\n1.25\n", b"10\n1.25\n", True),
    (b"10\n123.456789012345\n", b"10\n123.456789012346\n", True),
    (b"10\n123.4567\n", b"10\n123.4568\n", False),
    (b"10\n123.456789\n", b"10\n123.456788\n", False),
    (b"10\n0.0\n", b"10\n-0.0\n", True),
    (b"10\n0.0\n", b"10\n0.0000001\n", False),
    (b"70\n1\n", b"70\n2\n", False),
    (b"70\n1\n", b"70\n1.0\n", False),
    (b"8\nOUT 1.0\n", b"8\nOUT 1.00\n", True),
    (b"#1=A('',1.0);", b"#1=A('',1.0) ;", False),
    (b"1.0 2.0", b"1.0", False),
]


@pytest.mark.parametrize(("made", "held", "same"), TEXTS)
@pytest.mark.parametrize("name", ["form.step", "layers/layer-01.dxf", "form.svg", "report.html"])
def test_texts_agree_but_for_last_digits(name: str, made: bytes, held: bytes, *, same: bool) -> None:
    assert holds_the_same(name, held, made) is same


def test_a_page_agrees_to_the_byte() -> None:
    assert holds_the_same("gauge.pdf", b"1.000000000000001", b"1.000000000000001")
    assert not holds_the_same("gauge.pdf", b"1.000000000000002", b"1.000000000000001")


def _mesh(*corners: float, head: bytes = b"formgen", spare: int = 0) -> bytes:
    numbers = [0.0, 0.0, 1.0, *corners]
    return head.ljust(80) + struct.pack("<I", 1) + struct.pack("<12fH", *numbers, spare)


@pytest.mark.parametrize(
    ("held", "same"),
    [
        (_mesh(0, 0, 0, 10, 0, 0, 0, 10, 0), True),
        (_mesh(0.0009, 0, 0, 10, 0, 0, 0, 10, 0), True),
        (_mesh(0.0021, 0, 0, 10, 0, 0, 0, 10, 0), False),
        (_mesh(0, 0, 0, 10, 0, 0, 0, 10, 0, spare=1), False),
        (_mesh(0, 0, 0, 10, 0, 0, 0, 10, 0, head=b"FORMGEN"), False),
        (_mesh(float("nan"), 0, 0, 10, 0, 0, 0, 10, 0), False),
        (_mesh(0, 0, 0, 10, 0, 0, 0, 10, 0)[:-1], False),
    ],
    ids=["the same", "within rounding", "past it", "a colour", "a header", "no number", "cut short"],
)
def test_a_mesh_agrees_within_its_rounding(held: bytes, *, same: bool) -> None:
    assert holds_the_same("form.stl", held, _mesh(0, 0, 0, 10, 0, 0, 0, 10, 0)) is same
