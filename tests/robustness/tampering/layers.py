"""Tricks with the router's drawing of a layer, together with its hash and the versions: only a reader can tell.

What lies where no router looks may be left to the comparison of bytes, which other versions make impossible: it is then
named as not compared, and the same trick without the versions is caught.
"""

from __future__ import annotations

from collections.abc import Callable

from tests.robustness.tampering.folders import LAYER
from tests.robustness.tampering.kit import (
    DIFFERS,
    PARTLY,
    Tag,
    Trick,
    drilling,
    entity,
    entry,
    in_file,
    in_table,
    on_tags,
    say_more,
    say_other,
)  # fmt: skip

Change = Callable[[bytes], bytes]


def _swap(old: bytes, new: bytes) -> Change:
    def change(content: bytes) -> bytes:
        assert old in content, old
        return content.replace(old, new, 1)

    return change


def _second_section(held: list[Tag]) -> None:
    first, end = entity(held, "CIRCLE")
    stop = next(i for i in range(end, len(held)) if held[i] == (0, "ENDSEC"))
    held[stop + 1 : stop + 1] = [(0, "SECTION"), (2, "ENTITIES"), *held[first:end], (0, "ENDSEC")]


def _second_units(held: list[Tag]) -> None:
    where = held.index((9, "$INSUNITS"))
    other = "4" if held[where + 1][1].strip() == "1" else "1"
    held[where + 2 : where + 2] = [(9, "$INSUNITS"), (70, other)]


def _second_value(held: list[Tag]) -> None:
    where = held.index((9, "$INSUNITS"))
    held.insert(where + 2, (70, "4" if held[where + 1][1].strip() == "1" else "1"))


def _other_value(variable: str, one: str, other: str) -> Callable[[list[Tag]], None]:
    """A header variable that has one of two values gets the other."""

    def change(held: list[Tag]) -> None:
        where = held.index((9, variable)) + 1
        held[where] = (held[where][0], other if held[where][1].strip() == one else one)

    return change


def _in_a_block(held: list[Tag]) -> None:
    first, end = entity(held, "CIRCLE")
    block = held.index((0, "ENDBLK"))
    held[block:block] = held[first:end]


def _in_the_tables(held: list[Tag]) -> None:
    """What should be cut stands in a table named as the section of entities is, which holds something else."""
    first = held.index((2, "ENTITIES")) + 1
    end = next(i for i in range(first, len(held)) if held[i] == (0, "ENDSEC"))
    blocks = held.index((2, "BLOCKS")) - 2
    cut = held[first:end]
    circle, stop = entity(held, "CIRCLE")
    del held[circle:stop]
    held[blocks:blocks] = [(0, "TABLE"), (2, "ENTITIES"), *cut]


def _a_block(held: list[Tag]) -> None:
    first, end = entity(held, "LINE")
    held[first:end] = [
        *held[first:end],
        (0, "INSERT"),
        *held[first + 1 : first + 5],
        (2, "*Model_Space"),
        (10, "0."),
        (20, "0."),
    ]


def _doubled(held: list[Tag]) -> None:
    first, end = entity(held, "CIRCLE")
    held[end:end] = [tag if tag[0] != 5 else (5, "FFF1") for tag in held[first:end]]


def _same_handle(held: list[Tag]) -> None:
    first, _ = entity(held, "CIRCLE")
    other, _ = entity(held, "LWPOLYLINE")
    held[first + 1] = held[other + 1]


def _gone(held: list[Tag]) -> None:
    first, end = entity(held, "CIRCLE")
    del held[first:end]


def _second_layer(held: list[Tag]) -> None:
    first, end = entry(held, "LAYER", drilling(held))
    held[end:end] = [tag if tag[0] != 5 else (5, "FFF2") for tag in held[first:end]]


def _paper_owner(held: list[Tag]) -> None:
    record = [i for i in range(len(held)) if held[i] == (0, "BLOCK_RECORD")][1]
    first, _ = entity(held, "CIRCLE")
    where = next(i for i in range(first, len(held)) if held[i][0] == 330)
    held[where] = (330, held[record + 1][1])


def _vertex_out_of_order(held: list[Tag]) -> None:
    first, _ = entity(held, "LWPOLYLINE")
    where = next(i for i in range(first, len(held)) if held[i][0] == 10)
    held[where : where + 2] = held[where : where + 2][::-1]


def _second_bulge(held: list[Tag]) -> None:
    first, _ = entity(held, "LWPOLYLINE")
    where = next(i for i in range(first, len(held)) if held[i][0] == 42)
    held.insert(where + 1, (42, "0.5"))


def _thumbnail(held: list[Tag]) -> None:
    held[-1:-1] = [(0, "SECTION"), (2, "THUMBNAILIMAGE"), (90, "0"), (0, "ENDSEC")]


_CIRCLE_PLANE = ((210, "0.0"), (220, "0.0"), (230, "-1.0"))

#: What is done, and how.
CUT: tuple[tuple[str, Change], ...] = (
    ("a circle is seen from behind", say_more("CIRCLE", *_CIRCLE_PLANE)),
    ("an outline is seen from behind", say_more("LWPOLYLINE", *_CIRCLE_PLANE)),
    ("a line is seen from behind", say_more("LINE", *_CIRCLE_PLANE)),
    ("a second centre", say_more("CIRCLE", (10, "0.0"), (20, "0.0"))),
    ("a second radius", say_more("CIRCLE", (40, "1.0"))),
    ("a second layer for a circle", say_more("CIRCLE", (8, "MARKS"))),
    ("a second section of entities", on_tags(_second_section)),
    ("a second word on units", on_tags(_second_units)),
    ("a second value of the units", on_tags(_second_value)),
    ("the other word on units", on_tags(_other_value("$MEASUREMENT", "1", "0"))),
    ("something in the tables", on_tags(_in_the_tables)),
    ("elevation 38", say_more("LWPOLYLINE", (38, "5.0"))),
    ("thickness 39", say_more("CIRCLE", (39, "5.0"))),
    ("a width 43", say_more("LWPOLYLINE", (43, "3.0"))),
    ("a width 40 at a vertex", say_more("LWPOLYLINE", (40, "3.0"), (41, "3.0"))),
    ("an elevation at a circle's centre", say_other("CIRCLE", 30, "5.0")),
    ("a line that climbs", say_other("LINE", 31, "5.0")),
    ("invisible", say_more("CIRCLE", (60, "1"))),
    ("in the paper's space", say_more("CIRCLE", (67, "1"))),
    ("owned by the paper's space", on_tags(_paper_owner)),
    ("a colour of its own", say_more("CIRCLE", (62, "1"))),
    ("a line type of its own", say_more("LINE", (6, "HIDDEN"))),
    ("a comment", say_more("CIRCLE", (999, "cut twice"))),
    ("data of another program", say_more("CIRCLE", (1001, "ACAD"), (1000, "cut twice"))),
    ("flag 128", say_other("LWPOLYLINE", 70, "129")),
    ("an outline that is open", say_other("LWPOLYLINE", 70, "0")),
    ("flag in other letters", say_other("LWPOLYLINE", 70, "01")),
    ("one vertex less said", say_other("LWPOLYLINE", 90, "3")),
    ("a vertex out of order", on_tags(_vertex_out_of_order)),
    ("a second bulge", on_tags(_second_bulge)),
    ("a bulge of 1e308", say_other("LWPOLYLINE", 42, "1e308")),
    ("a bulge that is no number", say_other("LWPOLYLINE", 42, "nan")),
    ("a bulge with an underscore", say_other("LWPOLYLINE", 42, "0_1.5")),
    ("a corner that is moved by 0.01 mm", say_other("LWPOLYLINE", 10, "0.01")),
    ("a hole that is moved", say_other("CIRCLE", 10, "1.0")),
    ("a hole that is larger", say_other("CIRCLE", 40, "6.5")),
    ("a hole that is gone", on_tags(_gone)),
    ("a hole that is drilled twice", on_tags(_doubled)),
    ("a handle that stands twice", on_tags(_same_handle)),
    ("a hole on another layer", say_other("CIRCLE", 8, "OUTSIDE PROFILE")),
    ("a hole on a layer that there is not", say_other("CIRCLE", 8, "WASTE")),
    ("a hole that is a point", _swap(b"\nCIRCLE\n", b"\nPOINT\n")),
    ("something in a block", on_tags(_in_a_block)),
    ("a block that is drawn", on_tags(_a_block)),
    ("a layer that is frozen", in_table("LAYER", "", 70, "1")),
    ("a layer that is locked", in_table("LAYER", "", 70, "4")),
    ("a layer that is off", in_table("LAYER", "", 62, "-3")),
    ("a layer that is not plotted", in_table("LAYER", "", 290, "0")),
    ("a layer that stands twice", on_tags(_second_layer)),
    ("a layer of dashes", in_table("LAYER", "", 6, "ByBlock")),
    ("units are inches", on_tags(_other_value("$INSUNITS", "1", "4"))),
    ("another release", _swap(b"AC1024", b"AC1027")),
    ("a section more", on_tags(_thumbnail)),
    ("words after the end", lambda content: content + b"  0\nLINE\n"),
    ("an end in the middle", _swap(b"  0\nCIRCLE\n", b"  0\nEOF\n  0\nCIRCLE\n")),
    ("lines that other systems end", _swap(b"\n  0\nCIRCLE\n", b"\r\n  0\nCIRCLE\n")),
    ("a line that some readers end", _swap(b"this side up", b"this\x0cup")),
    ("a group code in other letters", _swap(b"\n 40\n", b"\n+40\n")),
    ("a note that says otherwise", _swap(b"this side up", b"this side down")),
    ("a note that is gone to another layer", say_other("TEXT", 8, "MARKS")),
)  # fmt: skip

#: Where no router looks: bytes tell, and other versions leave it open.
ASIDE: tuple[tuple[str, Change], ...] = (
    ("a header variable is another", _swap(b"$LUPREC\n 70\n4", b"$LUPREC\n 70\n6")),
    ("the view is another", _swap(b"$EXTMAX\n 10\n", b"$EXTMAX\n 10\n1")),
    ("a text style is another", in_table("STYLE", "Standard", 40, "7.0")),
)

LAYERS = (
    *(Trick(name, in_file(LAYER, change, versions=True), DIFFERS, LAYER) for name, change in CUT),
    *(Trick(f"{name}, under these versions", in_file(LAYER, change), DIFFERS, LAYER) for name, change in ASIDE),
    *(Trick(f"{name}, under others", in_file(LAYER, change, versions=True), PARTLY, LAYER) for name, change in ASIDE),
)
