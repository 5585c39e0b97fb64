"""Tricks with the solid, the mesh, the picture and the pages, and their hashes, with and without the versions."""

from __future__ import annotations

import re
import struct
from collections.abc import Callable

from tests.robustness.tampering.kit import DIFFERS, PARTLY, Trick, in_file

Change = Callable[[bytes], bytes]
_HEAD, _EACH = 84, 50


def _corner(content: bytes) -> bytes:
    """A corner of the mesh is moved by a millimetre."""
    (x,) = struct.unpack_from("<f", content, _HEAD + 12)
    return content[: _HEAD + 12] + struct.pack("<f", x + 1.0) + content[_HEAD + 16 :]


def _triangle_less(content: bytes) -> bytes:
    (count,) = struct.unpack_from("<I", content, 80)
    return content[:80] + struct.pack("<I", count - 1) + content[_HEAD + _EACH :]


def _colour(content: bytes) -> bytes:
    """The two spare bytes of a triangle, where some programs keep a colour."""
    return content[: _HEAD + 48] + b"\x1f\x80" + content[_HEAD + 50 :]


def _radius(content: bytes) -> bytes:
    """A cylinder of the solid gets a larger radius."""
    return re.sub(rb"(CYLINDRICAL_SURFACE\('',#\d+,)(\d+)\.", rb"\g<1>9\2.", content, count=1)


def _swap(old: bytes, new: bytes) -> Change:
    def change(content: bytes) -> bytes:
        assert old in content, old
        return content.replace(old, new, 1)

    return change


def _end(more: bytes) -> Change:
    return lambda content: content + more


#: File, what is done, how, and what `verify` answers when the record says that other versions wrote it.
OTHERS: tuple[tuple[str, str, Change, int], ...] = (
    ("form.stl", "a corner is moved", _corner, DIFFERS),
    ("form.stl", "a triangle less", _triangle_less, DIFFERS),
    ("form.stl", "a colour", _colour, PARTLY),
    ("form.stl", "another header", _swap(b"formgen stack, mm", b"formgen stack, in"), PARTLY),
    ("form.stl", "no mesh", lambda _: b"solid\nendsolid\n", DIFFERS),
    ("form.step", "a radius is larger", _radius, DIFFERS),
    ("form.step", "a comment", _swap(b"DATA;", b"/* cut twice */ DATA;"), PARTLY),
    ("form.step", "a piece has another name", _swap(b"'L01", b"'L91"), PARTLY),
    ("form.step", "no solid", lambda _: b"ISO-10303-21;", DIFFERS),
    ("form.svg", "a script", _swap(b"</svg>", b"<script>alert(1)</script></svg>"), PARTLY),
    ("form.svg", "a face less", _swap(b'fill-rule="evenodd"', b'fill-rule="nonzero"'), DIFFERS),
    ("form-layers.dxf", "an outline on another layer", _swap(b"  8\nL01\n", b"  8\nL02\n"), DIFFERS),
    ("report.html", "a script", _swap(b"</body>", b"<script>alert(1)</script></body>"), PARTLY),
    ("report.html", "another title", _swap(b"</title>", b" 2</title>"), PARTLY),
    ("gauge.pdf", "words after its end", _end(b"% more\n"), DIFFERS),
    ("press-day.pdf", "empty", lambda _: b"", DIFFERS),
    ("template.pdf", "another paper", _swap(b"/MediaBox", b"/mediaBox"), PARTLY),
    ("drawing.dxf", "elevation", _swap(b"AcDbPolyline\n", b"AcDbPolyline\n 38\n5.0\n"), PARTLY),
    ("gauge.dxf", "units are others", _swap(b"$LUNITS\n 70\n2", b"$LUNITS\n 70\n4"), PARTLY),
)  # fmt: skip

FILES = (
    *(Trick(f"{name}: {what}", in_file(name, change), DIFFERS, name) for name, what, change, _ in OTHERS),
    *(
        Trick(f"{name}: {what}, under other versions", in_file(name, change, versions=True), code, name)
        for name, what, change, code in OTHERS
    ),
)
