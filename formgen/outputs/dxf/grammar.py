"""Stage `outputs`: a drawing's tags held against every word that the writer writes where a router looks.

In: tags of a file. Out: one line for each thing that stands in no table of `words`: a section twice, a header
variable twice, a group code that is unknown or repeated, a flag, a coordinate off the plane, a layer that is frozen or
off, something drawn in a block. A router would act on these and a reader of outlines overlooks them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from formgen.outputs.dxf import words as dxf_words
from formgen.outputs.dxf.words import Words
from formgen.quoted import escaped

Tag = tuple[int, str]


def refusals(tags: Sequence[Tag]) -> Iterator[str]:
    """List what a drawing says that none of ours does, each without the file's name."""
    sections, outside = _sections(tags)
    if outside:
        yield outside
        return
    names = tuple(name for name, _ in sections)
    old = (1, "AC1009") in tags[:12]
    if names != (dxf_words.SECTIONS_R12 if old else dxf_words.SECTIONS):
        yield f"its sections are {escaped(', '.join(names))}"
        return
    held = dict(sections)
    yield from _header(held["HEADER"])
    tables = _entries(held["TABLES"])
    yield from _tables(tables)
    layers = [entry for entry in tables if entry[0] == (0, "LAYER")]
    yield from _layers(layers, dxf_words.LAYER_R12 if old else dxf_words.LAYER)
    yield from _blocks(_entries(held["BLOCKS"]), old=old)
    entities = _entries(held["ENTITIES"])
    yield from _entities(entities, dxf_words.ENTITIES_R12 if old else dxf_words.ENTITIES, _names(layers))
    yield from _owners(entities, _model_space(held["TABLES"]))
    handles = Counter(value for entry in (*layers, *entities) for code, value in entry if code == 5)
    yield from (f"handle {escaped(handle)} stands twice" for handle, count in handles.items() if count > 1)


def _sections(tags: Sequence[Tag]) -> tuple[list[tuple[str, list[Tag]]], str]:
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


def _entries(tags: Sequence[Tag]) -> list[list[Tag]]:
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
        elif code in said or not name or dxf_words.HEADER.get(name, code) != code:
            yield f"header variable {escaped(name)} says {code} {escaped(value)}, which is none of ours"
        said.append(code)


def _tables(entries: Sequence[list[Tag]]) -> Iterator[str]:
    yield from (f"its tables hold {escaped(e[0][1])}" for e in entries if e[0] not in dxf_words.TABLE_KINDS)


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
        if dxf_words.NOT_PLOTTED in first and name.upper() != dxf_words.DEFPOINTS:
            yield f"layer {escaped(name)} is not plotted"
        if first.get(6, "").upper() != "CONTINUOUS":
            yield f"layer {escaped(name)} has broken lines"
    yield from (f"layer {escaped(name)} stands twice" for name, n in Counter(_names(layers)).items() if n > 1)


def _blocks(entries: Sequence[list[Tag]], *, old: bool) -> Iterator[str]:
    """Anything in a block: the drawings have two, of the model's and the paper's space, and both are empty."""
    block = dxf_words.BLOCK_R12 if old else dxf_words.BLOCK
    end = dxf_words.ENDBLK_R12 if old else dxf_words.ENDBLK
    for i, entry in enumerate(entries):
        kind = entry[0][1]
        if kind != ("BLOCK", "ENDBLK")[i % 2]:
            yield f"a block holds {escaped(kind)}"
            return
        yield from (f"a block: {line}" for line in _says(entry, (block, end)[i % 2]))
        for code, value in entry:
            if code == 2 and value.upper() not in dxf_words.SPACES:
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
    elif more and (more[0][0] != dxf_words.OWNER or any(code != dxf_words.TEXT for code, _ in more[1:])):
        yield "its extended data are no label"


def _model_space(tables: Sequence[Tag]) -> str | None:
    """Handle of the model space; R12 has none."""
    for entry in _entries(tables):
        if entry[0] == (0, "BLOCK_RECORD") and any(c == 2 and v.upper() == "*MODEL_SPACE" for c, v in entry):
            return dict(reversed(entry)).get(5)
    return None


def _owners(entities: Sequence[list[Tag]], space: str | None) -> Iterator[str]:
    for entry in entities:
        owner = dict(reversed(entry)).get(330)
        if owner is not None and owner != space:
            yield f"{escaped(entry[0][1])} lies in no model space"
