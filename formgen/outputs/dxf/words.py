"""Stage `outputs`: every word that `pen` writes where a router looks: sections, entities, group codes, flags.

Beside the writer, so that whoever draws a new kind adds its line here; a reader refuses what stands in no table. What a
router does not cut by (views, text styles, dictionaries) is not listed: it is compared byte for byte.

Reference: Autodesk, DXF Reference (group codes of BLOCK, CIRCLE, LAYER, LINE, LWPOLYLINE, POLYLINE, TEXT, VERTEX).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from formgen.fixed import fixed

#: Sections in their order; R12 has four of them.
SECTIONS = ("HEADER", "CLASSES", "TABLES", "BLOCKS", "ENTITIES", "OBJECTS")
SECTIONS_R12 = ("HEADER", "TABLES", "BLOCKS", "ENTITIES")
#: Header variables by which a router goes, each with the group code of its only value.
HEADER = {"$ACADVER": 1, "$INSUNITS": 70, "$MEASUREMENT": 70, "$LUNITS": 70}
#: What stands in the tables.
TABLE_KINDS = {
    (0, kind)
    for kind in (
        "TABLE", "ENDTAB", "VPORT", "LTYPE", "LAYER", "STYLE", "VIEW", "UCS", "APPID", "DIMSTYLE", "BLOCK_RECORD",
    )
}  # fmt: skip
#: Blocks that are no blocks: the model and the paper; both are empty.
SPACES = ("*MODEL_SPACE", "*PAPER_SPACE", "$MODEL_SPACE", "$PAPER_SPACE")
#: A layer that every drawing has and on which nothing is drawn; it alone may say that it is not plotted (290).
DEFPOINTS = "DEFPOINTS"
NOT_PLOTTED = 290
#: Extended data: its owner, and the text of a label.
OWNER, TEXT = 1001, 1000


@fixed
class Words:
    """The group codes that one kind of entity or table entry may have.

    Args:
        once: group codes that it says once.
        maybe: those that it may say once.
        again: those that it may repeat; `reader` reads them in order.
        only: the values of flags and of coordinates off the drawing's plane.
        classes: its subclass markers (100) in order; R12 has none.
        labelled: it may carry extended data: the text of a label, or who wrote the file.
    """

    once: frozenset[int]
    maybe: frozenset[int] = frozenset()
    again: frozenset[int] = frozenset()
    only: Mapping[int, tuple[float, ...]] = field(default_factory=dict)
    classes: tuple[str, ...] = ()
    labelled: bool = False


_FLAT, _FLAT_LINE = {30: (0.0,)}, {30: (0.0,), 31: (0.0,)}
_HANDLE, _OWNED = {5, 8}, {5, 8, 330}

ENTITIES: dict[str, Words] = {
    "CIRCLE": Words(
        once=frozenset(_OWNED | {10, 20, 30, 40}), only=_FLAT, classes=("AcDbEntity", "AcDbCircle"),
    ),
    "LINE": Words(
        once=frozenset(_OWNED | {10, 20, 30, 11, 21, 31}), only=_FLAT_LINE, classes=("AcDbEntity", "AcDbLine"),
    ),
    "TEXT": Words(
        once=frozenset(_OWNED | {10, 20, 30, 40, 1}), only=_FLAT, classes=("AcDbEntity", "AcDbText", "AcDbText"),
    ),
    "LWPOLYLINE": Words(
        once=frozenset(_OWNED | {90, 70}), again=frozenset({10, 20, 42}), only={70: (0.0, 1.0)},
        classes=("AcDbEntity", "AcDbPolyline"), labelled=True,
    ),
}  # fmt: skip

ENTITIES_R12: dict[str, Words] = {
    "CIRCLE": Words(once=frozenset(_HANDLE | {10, 20, 30, 40}), only=_FLAT),
    "LINE": Words(once=frozenset(_HANDLE | {10, 20, 30, 11, 21, 31}), only=_FLAT_LINE),
    "TEXT": Words(once=frozenset(_HANDLE | {10, 20, 30, 40, 1}), only=_FLAT),
    "POLYLINE": Words(
        once=frozenset(_HANDLE | {66, 10, 20, 30, 70}), labelled=True,
        only={66: (1.0,), 10: (0.0,), 20: (0.0,), 30: (0.0,), 70: (0.0, 1.0)},
    ),
    "VERTEX": Words(
        once=frozenset(_HANDLE | {10, 20, 30, 70}), maybe=frozenset({42}), only={30: (0.0,), 70: (0.0,)},
    ),
    "SEQEND": Words(once=frozenset(_HANDLE)),
}  # fmt: skip

#: A layer is neither frozen nor locked (70) nor off (62 below 0, looked at beside), its lines unbroken.
LAYER = Words(
    once=frozenset({5, 330, 2, 70, 62, 6}), maybe=frozenset({NOT_PLOTTED, 370, 390, 347, 348}),
    only={70: (0.0,)}, classes=("AcDbSymbolTableRecord", "AcDbLayerTableRecord"),
)  # fmt: skip
LAYER_R12 = Words(once=frozenset({5, 2, 70, 62, 6}), only={70: (0.0,)})

#: A block of one of the two spaces begins at the origin and has no flags.
BLOCK = Words(
    once=frozenset({5, 330, 8, 2, 70, 10, 20, 30, 3, 1}),
    only={70: (0.0,), 10: (0.0,), 20: (0.0,), 30: (0.0,)}, classes=("AcDbEntity", "AcDbBlockBegin"),
)  # fmt: skip
BLOCK_R12 = Words(
    once=frozenset({5, 8, 2, 70, 10, 20, 30, 3, 1}), only=BLOCK.only, labelled=True,
)  # fmt: skip
ENDBLK = Words(once=frozenset({5, 330, 8}), classes=("AcDbEntity", "AcDbBlockEnd"))
ENDBLK_R12 = Words(once=frozenset({5, 8}))
