"""Stage `curve`: the things in a drawing: each on its layer, some in blocks; what is no line is only counted.

In: an opened drawing. Out: items in the order in which they are drawn, and counts of them in words. Blocks are opened
on demand, blocks in blocks too: what lies in them has the place and size at which they are set in.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from itertools import islice
from typing import Any

from formgen.curve.drawn.entities import KINDS, layer_of
from formgen.curve.drawn.file import Opened
from formgen.fixed import fixed
from formgen.quoted import escaped

#: Blocks in blocks are opened so deep, and no more things are taken out of all of them.
_DEEPEST, MOST_IN_BLOCKS = 8, 20_000

#: What the trade calls the kinds of a drawing, one and several; another kind goes by its own name.
_NOUNS: Mapping[str, tuple[str, str]] = {
    "INSERT": ("block", "blocks"),
    "TEXT": ("text", "texts"),
    "MTEXT": ("text", "texts"),
    "ATTDEF": ("text", "texts"),
    "DIMENSION": ("dimension", "dimensions"),
    "ARC_DIMENSION": ("dimension", "dimensions"),
    "LARGE_RADIAL_DIMENSION": ("dimension", "dimensions"),
    "HATCH": ("hatch", "hatches"),
    "MPOLYGON": ("hatch", "hatches"),
    "POINT": ("point", "points"),
    "LEADER": ("leader", "leaders"),
    "MULTILEADER": ("leader", "leaders"),
    "IMAGE": ("picture", "pictures"),
    "SOLID": ("fill", "fills"),
    "LINE": ("line", "lines"),
    "ARC": ("arc", "arcs"),
    "CIRCLE": ("circle", "circles"),
    "LWPOLYLINE": ("polyline", "polylines"),
    "POLYLINE": ("polyline", "polylines"),
    "ELLIPSE": ("ellipse", "ellipses"),
    "SPLINE": ("spline", "splines"),
    "closed shape": ("closed shape", "closed shapes"),
    "line drawn twice": ("line drawn twice", "lines drawn twice"),
}


@fixed
class Item:
    """One thing that is drawn.

    Args:
        entity: as `ezdxf` holds it, at its place in the drawing.
        layer: on which it shows.
        block: name of the block that it lies in, the outermost; empty where it lies in none.
        block_layer: the layer of that block.
    """

    entity: Any
    layer: str
    block: str = ""
    block_layer: str = ""

    @property
    def kind(self) -> str:
        """Its kind, as the format names it."""
        return str(self.entity.dxftype())

    @property
    def is_line(self) -> bool:
        """Tell whether it can be a path or a piece of one."""
        return self.kind in KINDS

    def lies_on(self, layer: str) -> bool:
        """Tell whether it, or the block that it lies in, is on a layer; as drawing programs do, in any case."""
        return layer.lower() in {self.layer.lower(), self.block_layer.lower()}


def outside_blocks(drawing: Opened) -> tuple[Item, ...]:
    """Everything in the model space."""
    return tuple(Item(entity=e, layer=layer_of(e)) for e in drawing.document.modelspace())


def in_blocks(items: Iterable[Item]) -> tuple[Item, ...]:
    """The lines in the blocks among these things."""
    inside = (item for block in items if block.kind == "INSERT" for item in _inside(block, 0))
    return tuple(item for item in islice(inside, MOST_IN_BLOCKS) if item.is_line)


def hidden_layers(drawing: Opened) -> frozenset[str]:
    """Names, in small letters, of the layers that are off or frozen."""
    return frozenset(
        str(held.dxf.name).lower() for held in drawing.document.layers if held.is_off() or held.is_frozen()
    )


def chosen(drawing: Opened, items: Iterable[Item], layer: str | None) -> Iterator[Item]:
    """Those on a layer; without one those that are shown."""
    hidden = hidden_layers(drawing)
    for item in items:
        dxf = item.entity.dxf
        if dxf.is_supported("invisible") and dxf.get("invisible", 0):
            continue
        if item.lies_on(layer) if layer is not None else not hidden & {item.layer.lower(), item.block_layer.lower()}:
            yield item


def _inside(block: Item, depth: int) -> Iterator[Item]:
    """Everything that a block holds, at its place; nothing of one that is missing or cannot be set in."""
    for entity in _set_in(block.entity):
        own = layer_of(entity)
        item = Item(
            entity=entity,
            layer=own if own != "0" else block.layer,  # what lies on 0 shows on the layer of its block
            block=block.block or str(block.entity.dxf.get("name", ""))[:60],
            block_layer=block.block_layer or block.layer,
        )
        yield item
        if item.kind == "INSERT" and depth < _DEEPEST:
            yield from _inside(item, depth + 1)


def _set_in(insert: Any) -> Iterator[Any]:
    try:
        for one in insert.multi_insert() if insert.mcount > 1 else (insert,):
            yield from one.virtual_entities(skipped_entity_callback=lambda *_: None)
    except Exception:
        return


def counts(items: Iterable[Item]) -> Counter[str]:
    """Count the items of each kind."""
    return Counter(item.kind for item in items)


def by_noun(kinds: Mapping[str, int]) -> dict[str, int]:
    """The same by their nouns, the most first: `{"dimensions": 12, "block": 1}`."""
    nouns: Counter[tuple[str, str]] = Counter()
    for kind, count in kinds.items():
        nouns[_NOUNS.get(kind, (escaped(kind), escaped(kind)))] += count
    return {noun[count > 1]: count for noun, count in nouns.most_common()}


def in_words(kinds: Mapping[str, int]) -> str:
    """The same in one phrase: `12 dimensions, 1 block`."""
    return ", ".join(f"{count} {noun}" for noun, count in by_noun(kinds).items())
