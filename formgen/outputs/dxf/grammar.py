"""Stage `outputs`: a drawing's tags held against every word that the writer writes where a router looks.

In: tags of a file. Out: one line for each thing that stands in no table here: a section twice, a header variable twice,
a group code that is unknown or repeated, a flag, a coordinate off the plane, a layer that is frozen or off, something
drawn in a block. A router would act on these and a reader of outlines overlooks them.

Whoever draws a new kind with `pen` adds its line to the tables: sections, entities, group codes, flags. What a router
does not cut by (views, text styles, dictionaries) is not listed: it is compared byte for byte.

Reference: Autodesk, DXF Reference (group codes of BLOCK, CIRCLE, LAYER, LINE, LWPOLYLINE, POLYLINE, TEXT, VERTEX).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import field

from formgen.fixed import fixed
from formgen.quoted import escaped

Tag = tuple[int, str]

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
        again: those that it may repeat; the reader reads them in order.
        only: the values of flags and of coordinates off the drawing's plane.
        classes: its subclass markers (100) in order; R12 has none.
        labelled: it may carry extended data: the text of a label, or who wrote the file.
    """

    once: Set[int]
    maybe: Set[int] = frozenset()
    again: Set[int] = frozenset()
    only: Mapping[int, tuple[float, ...]] = field(default_factory=dict)
    classes: tuple[str, ...] = ()
    labelled: bool = False


_OWNED = frozenset({5, 8, 330})
_HANDLE = _OWNED - {330}
_FLAT = {30: (0.0,)}

ENTITIES: dict[str, Words] = {
    "CIRCLE": Words(once=_OWNED | {10, 20, 30, 40}, only=_FLAT, classes=("AcDbEntity", "AcDbCircle")),
    "LINE": Words(
        once=_OWNED | {10, 20, 30, 11, 21, 31}, only=_FLAT | {31: (0.0,)}, classes=("AcDbEntity", "AcDbLine"),
    ),
    "TEXT": Words(once=_OWNED | {10, 20, 30, 40, 1}, only=_FLAT, classes=("AcDbEntity", "AcDbText", "AcDbText")),
    "LWPOLYLINE": Words(
        once=_OWNED | {90, 70}, again={10, 20, 42}, only={70: (0.0, 1.0)},
        classes=("AcDbEntity", "AcDbPolyline"), labelled=True,
    ),
}  # fmt: skip

#: A layer is neither frozen nor locked (70) nor off (62 below 0, looked at beside), its lines unbroken.
LAYER = Words(
    once={5, 330, 2, 70, 62, 6}, maybe={NOT_PLOTTED, 370, 390, 347, 348},
    only={70: (0.0,)}, classes=("AcDbSymbolTableRecord", "AcDbLayerTableRecord"),
)  # fmt: skip

#: A block of one of the two spaces begins at the origin and has no flags.
BLOCK = Words(
    once=_OWNED | {2, 70, 10, 20, 30, 3, 1},
    only={70: (0.0,), 10: (0.0,), 20: (0.0,), 30: (0.0,)}, classes=("AcDbEntity", "AcDbBlockBegin"),
)  # fmt: skip
ENDBLK = Words(once=_OWNED, classes=("AcDbEntity", "AcDbBlockEnd"))


def _in_r12(words: Words, *, labelled: bool = False) -> Words:
    """The same in R12, which knows no owners (330), no subclasses and nothing that may be left out."""
    return Words(once=words.once - {330}, only=words.only, labelled=labelled)


LAYER_R12, BLOCK_R12, ENDBLK_R12 = _in_r12(LAYER), _in_r12(BLOCK, labelled=True), _in_r12(ENDBLK)
ENTITIES_R12: dict[str, Words] = {kind: _in_r12(ENTITIES[kind]) for kind in ("CIRCLE", "LINE", "TEXT")} | {
    "POLYLINE": Words(
        once=_HANDLE | {66, 10, 20, 30, 70}, labelled=True,
        only={66: (1.0,), 10: (0.0,), 20: (0.0,), 30: (0.0,), 70: (0.0, 1.0)},
    ),
    "VERTEX": Words(once=_HANDLE | {10, 20, 30, 70}, maybe={42}, only={30: (0.0,), 70: (0.0,)}),
    "SEQEND": Words(once=_HANDLE),
}  # fmt: skip


def refusals(tags: Sequence[Tag]) -> Iterator[str]:
    """List what a drawing says that none of ours does, each without the file's name."""
    sections, outside = sections_of(tags)
    if outside:
        yield outside
        return
    names = tuple(name for name, _ in sections)
    old = (1, "AC1009") in tags[:12]
    if names != (SECTIONS_R12 if old else SECTIONS):
        yield f"its sections are {escaped(', '.join(names))}"
        return
    held = dict(sections)
    yield from _header(held["HEADER"])
    tables = entries_of(held["TABLES"])
    yield from (f"its tables hold {escaped(e[0][1])}" for e in tables if e[0] not in TABLE_KINDS)
    layers = [entry for entry in tables if entry[0] == (0, "LAYER")]
    yield from _layers(layers, LAYER_R12 if old else LAYER)
    yield from _blocks(entries_of(held["BLOCKS"]), (BLOCK_R12, ENDBLK_R12) if old else (BLOCK, ENDBLK))
    entities = entries_of(held["ENTITIES"])
    yield from _entities(entities, ENTITIES_R12 if old else ENTITIES, _names(layers))
    yield from _owners(entities, tables)
    handles = Counter(value for entry in (*layers, *entities) for code, value in entry if code == 5)
    yield from (f"handle {escaped(handle)} stands twice" for handle, count in handles.items() if count > 1)


def sections_of(tags: Sequence[Tag]) -> tuple[list[tuple[str, list[Tag]]], str]:
    """Sections with what is in them; and what stands outside of them, if anything does."""
    sections: list[tuple[str, list[Tag]]] = []
    inside: list[Tag] | None = None
    rest = iter(tags[:-1])
    for tag in rest:
        if inside is None:
            kind, name = tag, next(rest, (0, ""))
            if kind != (0, "SECTION") or name[0] != 2:
                return [], f"{escaped(tag[1])} stands outside of its sections"
            inside = []
            sections.append((name[1], inside))
        elif tag == (0, "ENDSEC"):
            inside = None
        elif tag in ((0, "SECTION"), (0, "EOF")):
            return [], f"{tag[1]} stands inside of a section"
        else:
            inside.append(tag)
    if inside is not None or not tags or tags[-1] != (0, "EOF"):
        return [], "its sections do not end"
    return sections, ""


def entries_of(tags: Sequence[Tag]) -> list[list[Tag]]:
    """Tags parted where something new begins (group code 0)."""
    entries: list[list[Tag]] = []
    for tag in tags:
        if tag[0] == 0 or not entries:
            entries.append([])
        entries[-1].append(tag)
    return entries


def _header(tags: Sequence[Tag]) -> Iterator[str]:
    """Header variables that stand twice, and values that one of them says twice."""
    counts = Counter(value for code, value in tags if code == 9)
    yield from (f"header variable {escaped(name)} stands {count} times" for name, count in counts.items() if count > 1)
    said: list[int] = []
    name = ""
    for code, value in tags:
        if code == 9:
            name, said = value, []
        elif code in said or not name or HEADER.get(name, code) != code:
            yield f"header variable {escaped(name)} says {code} {escaped(value)}, which is none of ours"
        said.append(code)


def _names(layers: Sequence[list[Tag]]) -> list[str]:
    return [value.upper() for entry in layers for code, value in entry if code == 2]


def _layers(layers: Sequence[list[Tag]], words: Words) -> Iterator[str]:
    """Layers that are frozen, locked, off, not plotted, or there twice."""
    for entry in layers:
        first = dict(reversed(entry))
        name = first.get(2, "")
        yield from (f"layer {escaped(name)}: {line}" for line in _says(entry, words))
        colour = first.get(62, "")
        if not colour.isdecimal() or not 1 <= int(colour) <= 255:
            yield f"layer {escaped(name)} is off or has no colour: 62 = {escaped(colour)}"
        if NOT_PLOTTED in first and name.upper() != DEFPOINTS:
            yield f"layer {escaped(name)} is not plotted"
        if first.get(6, "").upper() != "CONTINUOUS":
            yield f"layer {escaped(name)} has broken lines"
    yield from (f"layer {escaped(name)} stands twice" for name, n in Counter(_names(layers)).items() if n > 1)


def _blocks(entries: Sequence[list[Tag]], words: tuple[Words, Words]) -> Iterator[str]:
    """Anything in a block: the drawings have two, of the model's and the paper's space, and both are empty."""
    for i, entry in enumerate(entries):
        kind = entry[0][1]
        if kind != ("BLOCK", "ENDBLK")[i % 2]:
            yield f"a block holds {escaped(kind)}"
            return
        yield from (f"a block: {line}" for line in _says(entry, words[i % 2]))
        for code, value in entry:
            if code == 2 and value.upper() not in SPACES:
                yield f"it has a block {escaped(value)}"


def _entities(entries: Sequence[list[Tag]], known: Mapping[str, Words], layers: Sequence[str]) -> Iterator[str]:
    """Group codes and layers of what is drawn; a kind that is unknown is told by who compares with the model."""
    whole: tuple[str, str] | None = None  # an old polyline that has begun, with its layer
    for entry in entries:
        kind, layer = entry[0][1], dict(reversed(entry)).get(8, "")
        if kind in known:
            yield from (f"{kind} on {escaped(layer)}: {line}" for line in _says(entry, known[kind]))
            if layer.upper() not in layers:
                yield f"{kind} lies on layer {escaped(layer)}, which is in no table"
        if (kind in ("VERTEX", "SEQEND")) != (whole is not None) or (whole and layer != whole[1]):
            yield f"{escaped(kind)} stands where none can"
            return
        whole = (kind, layer) if kind == "POLYLINE" else None if kind == "SEQEND" else whole
    if whole:
        yield "a POLYLINE does not end"


def _says(entry: Sequence[Tag], words: Words) -> Iterator[str]:
    """Group codes of one entry that are unknown, missing or repeated, and values that none of ours has."""
    extended = next((i for i, (code, _) in enumerate(entry) if code >= 1000), len(entry))
    own, more = entry[1:extended], entry[extended:]
    counts = Counter(code for code, _ in own if code != 100)
    for code, count in counts.items():
        if code not in words.once | words.maybe | words.again:
            yield f"group code {code} is none of ours"
        elif count > 1 and code not in words.again:
            yield f"group code {code} stands {count} times"
    yield from (f"group code {code} is missing" for code in sorted(words.once - counts.keys()))
    if tuple(value for code, value in own if code == 100) != words.classes:
        yield "its subclass markers (100) are others"
    for code, value in own:
        if code in words.only and value not in {text for n in words.only[code] for text in (f"{n:.0f}", f"{n:.1f}")}:
            yield f"group code {code} = {escaped(value)}"
    if more and not words.labelled:
        yield "it carries extended data"
    elif more and (more[0][0] != OWNER or any(code != TEXT for code, _ in more[1:])):
        yield "its extended data are no label"


def _owners(entities: Sequence[list[Tag]], tables: Sequence[list[Tag]]) -> Iterator[str]:
    """Entities that lie elsewhere than in the model space; R12 has none, and says of no entity where it lies."""
    records = (entry for entry in tables if entry[0] == (0, "BLOCK_RECORD"))
    spaces = (r for r in records if any(code == 2 and name.upper() == "*MODEL_SPACE" for code, name in r))
    space = dict(reversed(next(spaces, []))).get(5)
    for entry in entities:
        owner = dict(reversed(entry)).get(330)
        if owner is not None and owner != space:
            yield f"{escaped(entry[0][1])} lies in no model space"
