"""Stage `reports`: each layer of the form drawn as it is cut and marked, with what is written on it.

In: a Form. Out: an SVG figure for each layer. Arcs are true; letters are the single strokes that the router draws. The
letters and marks of a layer are one path with a name, from which the turning picture takes them too.
"""

from __future__ import annotations

from collections.abc import Iterator

from formgen.fixed import fixed
from formgen.form.stack import Layer, Piece
from formgen.holding.model import Holding
from formgen.lengths import Units, write_fine, write_length
from formgen.outputs.svg import Svg
from formgen.reports.web.drawing import Frame, circle_path, outline_path, path, stroke_path


@fixed
class LayerFigure:
    """A layer as the page shows it.

    Args:
        number: from the bench up.
        drawing: as it is cut and marked.
        kinds: what sets it apart.
        labels: each piece's name, and what is written on it.
    """

    number: int
    drawing: Svg
    kinds: str
    labels: tuple[tuple[str, str], ...]


def layer_figures(form: Holding) -> list[LayerFigure]:
    """All layers from the bench up."""
    return [_figure(layer, form.recipe.units) for layer in form.layers]


def ink_name(layer: Layer) -> str:
    """The name of the path that holds the letters and marks of a layer."""
    return f"ink-{layer.number}"


def _figure(layer: Layer, units: Units) -> LayerFigure:
    kinds = _kinds(layer, units)
    labels = tuple((piece.name, "; ".join(label.text for label in piece.labels)) for piece in layer.pieces)
    return LayerFigure(
        number=layer.number, drawing=_svg(layer, f"Layer {layer.number}: {kinds}"), kinds=kinds, labels=labels
    )


def _svg(layer: Layer, said: str) -> Svg:
    ink = "".join(stroke_path(s) for piece in layer.pieces for label in piece.labels for s in label.strokes)
    marks = "".join(stroke_path((m.start, m.end)) for piece in layer.pieces for m in piece.marks)
    paths = [drawn for piece in layer.pieces for drawn in _piece(piece)]
    paths += [path("mark", marks), path("ink", ink, id=ink_name(layer))]
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
