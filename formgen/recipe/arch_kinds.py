"""Stage `recipe`: the arches that a recipe can name, key by key; one model for each kind.

The sizes that settle each arch, in mm and rad. Whether such an arch exists is for the stage `curve` to say.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal, get_args

from pydantic import BeforeValidator, Field, Tag, WithJsonSchema, model_validator

from formgen.recipe.quantities import AngleRad, LengthMm, PositiveMm
from formgen.recipe.strict import TABLE, VALUE, FileBeside, Line, Strict, by_shape, exactly

#: Nobody measures more points at an opening, or sets out a curve in more pieces, by hand.
MOST_READINGS, MOST_PIECES = 200, 200


def _place(value: Any) -> Any:
    numbers = value if isinstance(value, list | tuple) else ()
    good = [n for n in numbers if isinstance(n, int | float) and not isinstance(n, bool) and abs(n) <= FARTHEST]
    if len(good) != 2 or len(numbers) != 2:
        raise ValueError("expected two numbers, x and y in the drawing's own unit; write for example [1200, 450]")
    return value


#: No number of a drawing is larger.
FARTHEST = 1e9
#: A point of a drawing, x and y in its own coordinates and unit.
Place = Annotated[
    tuple[float, float],
    BeforeValidator(_place),
    WithJsonSchema(
        {
            "type": "array",
            "items": {"type": "number", "minimum": -FARTHEST, "maximum": FARTHEST},
            "minItems": 2,
            "maxItems": 2,
            "description": "x and y in the drawing's own coordinates and unit.",
            "examples": [[1200, 450]],
        }
    ),
]


class Semicircle(Strict):
    """Half a circle on its springing line."""

    kind: Literal["semicircle"]
    span_mm: PositiveMm


class Segmental(Strict):
    """One arc, less than half a circle: two of span, rise, radius and sweep."""

    kind: Literal["segmental"]
    span_mm: PositiveMm | None = None
    rise_mm: PositiveMm | None = None
    radius_mm: PositiveMm | None = None
    sweep_rad: AngleRad | None = None

    @model_validator(mode="after")
    def _two_of_them(self) -> Segmental:
        return exactly(self, {"span_mm", "rise_mm"}, {"span_mm", "radius_mm"}, {"radius_mm", "sweep_rad"})


class ThreeCentred(Strict):
    """Basket-handle: small arcs at the springing, a large one at the crown.

    Without a rise: struck in thirds of the span. With a rise: struck on the equal-difference construction,
    or with the springing radius that is given.
    """

    kind: Literal["three-centred"]
    span_mm: PositiveMm
    rise_mm: PositiveMm | None = None
    springing_radius_mm: PositiveMm | None = None


class Ellipse(Strict):
    """Half an ellipse on its springing line."""

    kind: Literal["ellipse"]
    span_mm: PositiveMm
    rise_mm: PositiveMm


class Pointed(Strict):
    """Two arcs that meet in a point: span with a rise, a radius, or neither (equilateral: radius = span)."""

    kind: Literal["pointed"]
    span_mm: PositiveMm
    rise_mm: PositiveMm | None = None
    radius_mm: PositiveMm | None = None

    @model_validator(mode="after")
    def _at_most_one(self) -> Pointed:
        return exactly(self, {"span_mm"}, {"span_mm", "rise_mm"}, {"span_mm", "radius_mm"})


class FourCentred(Strict):
    """Tudor arch: span alone (struck on the span in four), or span, rise and both radii."""

    kind: Literal["four-centred"]
    span_mm: PositiveMm
    rise_mm: PositiveMm | None = None
    springing_radius_mm: PositiveMm | None = None
    crown_radius_mm: PositiveMm | None = None

    @model_validator(mode="after")
    def _all_or_none(self) -> FourCentred:
        return exactly(self, {"span_mm"}, {"span_mm", "rise_mm", "springing_radius_mm", "crown_radius_mm"})


class Ogee(Strict):
    """Two S-curves that meet in a point; both radii alike unless the lower one is given."""

    kind: Literal["ogee"]
    span_mm: PositiveMm
    rise_mm: PositiveMm
    lower_radius_mm: PositiveMm | None = None


class Quarter(Strict):
    """A quarter of a circle, from a vertical springing to a level crown."""

    kind: Literal["quarter"]
    radius_mm: PositiveMm


class Serpentine(Strict):
    """Two equal arcs, one bending each way, ends parallel: length between the ends and sideways offset."""

    kind: Literal["serpentine"]
    span_mm: PositiveMm
    offset_mm: PositiveMm


class ChainPiece(Strict):
    """A stretch of a chain: its length, and its radius unless it is straight (negative: bends outward)."""

    length_mm: PositiveMm
    radius_mm: LengthMm | None = None


class Chain(Strict):
    """Lines and arcs one after another, each tangent to the last, from the right end to the left."""

    kind: Literal["chain"]
    pieces: Annotated[tuple[ChainPiece, ...], Field(min_length=1, max_length=MOST_PIECES)]


class Ordinates(Strict):
    """Heights measured from a straight edge across the opening at equal steps, from left to right."""

    spacing_mm: PositiveMm
    heights_mm: Annotated[tuple[LengthMm, ...], Field(min_length=3, max_length=MOST_READINGS)]


#: The curves that are fitted to readings.
FitName = Literal["circle", "ellipse", "three-centred", "four-centred", "fair"]


class Within(Strict):
    """The simplest curve that no reading misses by more than this."""

    within_mm: PositiveMm


FitAsk = Annotated[
    Annotated[FitName, Tag(VALUE)] | Annotated[Within, Tag(TABLE)],
    by_shape(f"expected {', '.join(get_args(FitName))}, or {{within: 3 mm}} for the simplest that keeps it"),
]
#: Readings are numbered from 1, in the order in which they were typed.
ReadingNumber = Annotated[int, Field(ge=1, le=MOST_READINGS)]


class Points(Strict):
    """A curve measured at the opening, by ordinates or by x, y pairs, to which a curve is fitted.

    `fit` names it, or says how far the readings may miss it; without it the simplest within 3 mm (or the part's
    tolerance, if that is more) is taken, or else the nearest. `leave_out` holds the numbers of readings that are not to
    be trusted, none of them an end.
    """

    kind: Literal["points"]
    fit: FitAsk | None = None
    ordinates: Ordinates | None = None
    xy_mm: Annotated[tuple[tuple[LengthMm, LengthMm], ...], Field(min_length=3, max_length=MOST_READINGS)] | None = None
    leave_out: Annotated[tuple[ReadingNumber, ...], Field(max_length=MOST_READINGS)] = ()

    @model_validator(mode="after")
    def _one_of_them(self) -> Points:
        if (self.ordinates is None) == (self.xy_mm is None):
            got = "neither" if self.xy_mm is None else "both"
            raise ValueError(f"expected ordinates or xy, got {got}; give the readings one way")
        return self

    @model_validator(mode="after")
    def _left_out_between_the_ends(self) -> Points:
        count = len(self.xy_mm if self.xy_mm is not None else self.ordinates.heights_mm if self.ordinates else ())
        for number in self.leave_out:
            if not 1 < number < count:
                what = "the curve ends there: measure it again" if number in {1, count} else "correct the number"
                raise ValueError(f"got reading {number} left out, expected a number from 2 to {count - 1}; {what}")
        return self


class Drawing(Strict):
    """A path read from a DXF file that lies beside the recipe; all of the drawing, a layer, or one line of these.

    One line is the `inner` or `outer` of those that lie one inside the other, or the one nearest to a point: x and y in
    the drawing's own coordinates and unit. The unit is needed where the file does not say it.
    """

    kind: Literal["drawing"]
    file: FileBeside
    layer: Line | None = None
    line: Literal["inner", "outer"] | None = None
    near: Place | None = None
    units: Literal["in", "ft", "mm", "cm", "m"] | None = None

    @model_validator(mode="after")
    def _one_way_to_choose(self) -> Drawing:
        if self.line is not None and self.near is not None:
            raise ValueError("expected line or near; leave one of them out")
        return self


ArchAsk = Annotated[
    Semicircle
    | Segmental
    | ThreeCentred
    | Ellipse
    | Pointed
    | FourCentred
    | Ogee
    | Quarter
    | Serpentine
    | Chain
    | Points
    | Drawing,
    Field(discriminator="kind"),
]
