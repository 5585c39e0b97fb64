"""Stage `reports`: the layers of the form drawn as they are cut and marked, each different one once.

In: a Form. Out: an SVG figure for all layers that are cut alike, what is written on each piece, and the strokes of the
letters. Arcs are true. A layer's letters would be too small to read in its picture: they are a list, and the picture
that turns takes their strokes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from formgen.fixed import fixed
from formgen.form.stack import Layer, Piece
from formgen.holding.model import Holding
from formgen.lengths import Units, write_fine, write_length
from formgen.outputs.svg import Svg
from formgen.reports.web.drawing import Frame, circle_path, outline_path, path, stroke_path


@fixed
class LayerFigure:
    """Layers that are cut alike, as the page shows them.

    Args:
        numbers: of the layers, from the bench up.
        title: which they are.
        drawing: as each is cut and marked.
        kinds: what sets them apart.
    """

    numbers: tuple[int, ...]
    title: str
    drawing: Svg
    kinds: str


def layer_figures(form: Holding) -> list[LayerFigure]:
    """Each different layer once, from the bench up."""
    alike: dict[object, list[Layer]] = {}
    for layer in form.layers:
        alike.setdefault((layer.thickness_mm, *((piece.cut, piece.marks) for piece in layer.pieces)), []).append(layer)
    return [_figure(layers, form.recipe.units) for layers in alike.values()]


def written_on(form: Holding) -> list[tuple[str, str]]:
    """List what is written on the pieces: first what stands on each, then by the piece's name what is its own."""
    texts = {piece.name: [label.text for label in piece.labels] for _, piece in form.pieces}
    common = list(
        dict.fromkeys(t for said in texts.values() for t in said if all(t in each for each in texts.values()))
    )
    own = [(name, "; ".join(dict.fromkeys(t for t in said if t not in common))) for name, said in texts.items()]
    return [*([("each piece", "; ".join(common))] if common else []), *(row for row in own if row[1])]


def ink(layer: Layer) -> str:
    """The strokes of a layer's letters, as a path."""
    return "".join(stroke_path(s) for piece in layer.pieces for label in piece.labels for s in label.strokes)


def _figure(layers: Sequence[Layer], units: Units) -> LayerFigure:
    numbers, kinds = tuple(layer.number for layer in layers), _kinds(layers[0], units)
    title = f"{'Layer' if len(numbers) == 1 else 'Layers'} {_listed(numbers)}"
    return LayerFigure(numbers=numbers, title=title, drawing=_svg(layers[0], f"{title}: {kinds}"), kinds=kinds)


def _listed(numbers: Sequence[int]) -> str:
    """`1, 3, 5`, or `1 to 8` where none is left out."""
    first, last = numbers[0], numbers[-1]
    whole = len(numbers) > 2 and last - first == len(numbers) - 1
    return f"{first} to {last}" if whole else ", ".join(map(str, numbers))


def _svg(layer: Layer, said: str) -> Svg:
    marks = "".join(stroke_path((m.start, m.end)) for piece in layer.pieces for m in piece.marks)
    paths = [*(drawn for piece in layer.pieces for drawn in _piece(piece)), path("mark", marks)]
    return Frame.round(layer.outline.bounds, (12.0, 12.0, 12.0, 12.0)).plan(said, paths)


def _piece(piece: Piece) -> Iterator[Svg]:
    cut = [outline_path(piece.outline), *(outline_path(o.outline) for o in piece.openings)]
    cut += [circle_path(h.centre, h.diameter_mm) for h in piece.holes]
    yield path("board", "".join(cut))
    if piece.grooves:
        yield path("groove", "".join(outline_path(g.cleared) for g in piece.grooves))


def _kinds(layer: Layer, units: Units) -> str:
    """Say what sets a layer apart, its size and its pieces."""
    x0, y0, x1, y1 = layer.outline.bounds
    said = [
        f"{write_length(x1 - x0, units)} × {write_length(y1 - y0, units)}",
        f"{write_fine(layer.thickness_mm, units)} thick",
        f"{len(layer.pieces)} pieces" if len(layer.pieces) > 1 else "one piece",
    ]
    said += ["set back for the air channel"] if layer.channel else []
    said += ["cut away for the spreader bar"] if layer.bar_seat else []
    return ", ".join(said)
