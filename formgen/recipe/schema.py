"""Stage `recipe`: what a recipe may say, key by key. The published JSON Schema is made from these models.

A field's name is its key with the unit added (`span_mm` is the key `span`), so that the numbers inside the
program say what they are. Texts such as `4 9/16` or `25 inHg` become mm, rad, kPa and MPa on the way in.
Nothing here computes: a recipe that is understood may still ask for the impossible.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, Tag, model_validator

from formgen.recipe.quantities import (
    AngleRad,
    LengthMm,
    NonNegativeMm,
    PositiveMm,
    PressureKpa,
    StressMpa,
)
from formgen.recipe.strict import LIST, TABLE, VALUE, FileBeside, Format, Line, Name, Strict, by_shape, exactly

# --- the part: arches


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
    pieces: Annotated[tuple[ChainPiece, ...], Field(min_length=1)]


class Ordinates(Strict):
    """Heights measured from a straight edge across the opening at equal steps, from left to right."""

    spacing_mm: PositiveMm
    heights_mm: Annotated[tuple[LengthMm, ...], Field(min_length=3)]


class Points(Strict):
    """A curve measured at the opening, by ordinates or by x, y pairs; a circle, ellipse or fair curve is fitted."""

    kind: Literal["points"]
    fit: Literal["circle", "ellipse", "fair"]
    ordinates: Ordinates | None = None
    xy_mm: Annotated[tuple[tuple[LengthMm, LengthMm], ...], Field(min_length=3)] | None = None

    @model_validator(mode="after")
    def _one_of_them(self) -> Points:
        return exactly(self, {"fit", "ordinates"}, {"fit", "xy_mm"})


class Drawing(Strict):
    """A path read from a DXF file that lies beside the recipe."""

    kind: Literal["drawing"]
    file: FileBeside
    layer: Line | None = None


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


class Legs(Strict):
    """Straight runs below the springing points, tangent to the curve, where they differ."""

    right_mm: NonNegativeMm = 0.0
    left_mm: NonNegativeMm = 0.0


LegsAsk = Annotated[
    Annotated[NonNegativeMm, Tag(VALUE)] | Annotated[Legs, Tag(TABLE)],
    by_shape("expected a length, or a table with right and left"),
]


class PartAsk(Strict):
    """The finished part: the curve of the opening, the face it was measured on, and its sizes."""

    arch: ArchAsk
    measured_on: Literal["inside", "outside", "centre"]
    legs: LegsAsk = 0.0
    depth_mm: PositiveMm
    edge_trim_mm: NonNegativeMm = 3.0
    end_trim_mm: NonNegativeMm = 25.0
    tolerance_mm: PositiveMm = 0.8


# --- the laminate


class PlyGroup(Strict):
    """Plies that are alike, counted from the inside face of the part."""

    count: Annotated[int, Field(ge=1, le=200)] = 1
    thickness_mm: PositiveMm
    wood: Line | None = None
    modulus_mpa: StressMpa | None = None


PliesAsk = Annotated[
    Annotated[int, Field(ge=1, le=200), Tag(VALUE)]
    | Annotated[tuple[PlyGroup, ...], Field(min_length=1), Tag(LIST)],
    by_shape("expected a whole number of plies, or a list of groups with count and thickness"),
]


class LaminateAsk(Strict):
    """Which plies: a number of equal ones with the part's thickness, or groups from the inside face outward."""

    wood: Line | None = None
    modulus_mpa: StressMpa | None = None
    thickness_mm: PositiveMm | None = None
    plies: PliesAsk


# --- the press


class BetweenItem(Strict):
    """Something that lies between part and form and that the shop file does not know: its name and thickness."""

    name: Line
    thickness_mm: NonNegativeMm


BetweenAsk = Annotated[
    Annotated[Line, Tag(VALUE)] | Annotated[BetweenItem, Tag(TABLE)],
    by_shape("expected a name, or a table with name and thickness"),
]


class PressAsk(Strict):
    """How it is pressed: which side the form is on, whether it goes in the bag, what lies against the part."""

    side: Literal["male", "female"]
    form_in_bag: bool = False
    between: tuple[BetweenAsk, ...] | None = None
    vacuum_kpa: PressureKpa | None = None


# --- the form


class ReliefAsk(Strict):
    """Holes behind the face in which the clamps' fixed jaws bear."""

    shape: Literal["round", "slot"] = "round"
    setback_mm: PositiveMm = 40.0
    spacing_mm: PositiveMm = 200.0


class ChannelAsk(Strict):
    """Vacuum channel: how far its layers stand back from the face, and the ports that lead out of it."""

    depth_mm: PositiveMm = 6.0
    port_width_mm: PositiveMm = 8.0
    port_spacing_mm: PositiveMm = 300.0


class BarAsk(Strict):
    """Spreader bar: height of its centre line above the springing line (negative below)."""

    height_mm: LengthMm


_FEATURE = by_shape("expected true, false, or a table of its sizes")
_Switch = Annotated[bool, Tag(VALUE)]
ReliefsAsk = Annotated[_Switch | Annotated[ReliefAsk, Tag(TABLE)], _FEATURE]
ChannelsAsk = Annotated[_Switch | Annotated[ChannelAsk, Tag(TABLE)], _FEATURE]
BarsAsk = Annotated[_Switch | Annotated[BarAsk, Tag(TABLE)], _FEATURE]


class FormAsk(Strict):
    """The form: which sheet, how much of it stands behind the face, and which features it has.

    `backing` is the width of a band, or the least depth of a block behind the face. A feature is `true`
    (with the shop's usual sizes), `false`, or a table of its sizes; without a key the program decides:
    reliefs where the form is not in the bag, a channel where it is, a bar seat where there are two legs.
    """

    sheet: Line | None = None
    body: Literal["block", "band"] = "block"
    backing_mm: PositiveMm = 100.0
    run_on_mm: NonNegativeMm = 25.0
    least_pieces: Annotated[int, Field(ge=1, le=50)] = 1
    clamp_reliefs: ReliefsAsk | None = None
    channel: ChannelsAsk | None = None
    spreader_bar: BarsAsk | None = None


class RecipeFile(Strict):
    """A part recipe."""

    format: Format
    name: Name
    units: Literal["in", "mm"]
    note: str = ""
    part: PartAsk
    laminate: LaminateAsk
    press: PressAsk
    form: FormAsk = Field(default_factory=FormAsk)
