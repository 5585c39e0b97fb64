"""Stage `recipe`: what a recipe may say, key by key. The published JSON Schema is made from these models.

A field's name is its key with the unit added (`span_mm` is the key `span`), so that the numbers inside the
program say what they are. Texts such as `4 9/16` or `25 inHg` become mm, rad, kPa and MPa on the way in.
Nothing here computes: a recipe that is understood may still ask for the impossible.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import Discriminator, Field, Tag, model_validator

from formgen.recipe.arch_kinds import ArchAsk
from formgen.recipe.quantities import LengthMm, NonNegativeMm, PositiveMm, PressureKpa, SpacingMm, StressMpa
from formgen.recipe.strict import LIST, TABLE, VALUE, Format, Line, Name, Strict, by_shape, shape_of

#: Nobody lays up more plies, or lays more on one side of a part.
MOST_PLIES, MOST_LYING = 200, 20


class Legs(Strict):
    """Straight runs below the springing points: one length for both, or right and left where they differ.

    `run` says which way they stand where the arch springs at an angle: `tangent` runs on as the curve ends, `plumb`
    stands upright, in a corner that plies cannot take. Where the arch springs plumb both mean the same.
    """

    length_mm: NonNegativeMm | None = None
    right_mm: NonNegativeMm | None = None
    left_mm: NonNegativeMm | None = None
    run: Literal["plumb", "tangent"] | None = None

    @model_validator(mode="after")
    def _one_way_of_saying_how_long(self) -> Legs:
        if self.length_mm is not None and (self.right_mm is not None or self.left_mm is not None):
            raise ValueError("expected length, or right and left, got both; delete one")
        return self

    @property
    def right_and_left_mm(self) -> tuple[float, float]:
        """Length of the right and of the left leg (mm), 0 where nothing is said."""
        if self.length_mm is not None:
            return self.length_mm, self.length_mm
        return self.right_mm or 0.0, self.left_mm or 0.0


LegsAsk = Annotated[
    Annotated[NonNegativeMm, Tag(VALUE)] | Annotated[Legs, Tag(TABLE)],
    by_shape("expected a length, or a table with length, or right and left, and run: plumb or tangent"),
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

    @property
    def pressed_depth_mm(self) -> float:
        """Depth in the press, before both edges are planed."""
        return self.depth_mm + 2.0 * self.edge_trim_mm


# --- the laminate


class PlyGroup(Strict):
    """Plies that are alike, counted from the inside face of the part; of a wood, or of a panel with its grain.

    `grain` says how the panel's face grain lies to the curve: `along` it, or `across` it (the easier way to bend).
    """

    count: Annotated[int, Field(ge=1, le=MOST_PLIES)] = 1
    thickness_mm: PositiveMm
    wood: Line | None = None
    modulus_mpa: StressMpa | None = None
    panel: Line | None = None
    grain: Literal["along", "across"] | None = None

    @model_validator(mode="after")
    def _panel_and_grain_together(self) -> PlyGroup:
        if (self.panel is None) != (self.grain is None):
            raise ValueError("expected panel and grain together; add grain: along or across, or delete both")
        if self.panel is not None and self.wood is not None:
            raise ValueError("expected a wood or a panel, got both; delete one")
        return self


AUTO = "<auto>"


def _plies_shape(value: Any) -> str:
    return AUTO if value == "auto" else shape_of(value)


PliesAsk = Annotated[
    Annotated[int, Field(ge=1, le=MOST_PLIES), Tag(VALUE)]
    | Annotated[Literal["auto"], Tag(AUTO)]
    | Annotated[tuple[PlyGroup, ...], Field(min_length=1, max_length=MOST_PLIES), Tag(LIST)],
    Discriminator(
        _plies_shape,
        custom_error_type="shape",
        custom_error_message="expected a whole number of plies, auto, or a list of groups with count and thickness",
    ),
]


class LaminateAsk(Strict):
    """The plies: a number of equal ones with the part's thickness, `auto`, or groups from the inside face outward.

    `glue_line_stiffness` and `relaxation` are measured factors of spring-back; without them those of the adhesive
    stand, which are 1 unless somebody measured. `least_plies` is the fewest that `auto` may take. `sawn` says how the
    growth rings lie in a ply, which decides how its thickness swells: `flat` (rings along the face), `quarter` (rings
    upright), or `mixed`. `spares` are further plies to cut of each kind. `allow_for_moisture` builds the middle of what
    drying pulls in into the pressed curve.
    """

    wood: Line | None = None
    modulus_mpa: StressMpa | None = None
    thickness_mm: PositiveMm | None = None
    plies: PliesAsk
    adhesive: Line | None = None
    spread_g_per_m2: Annotated[float, Field(gt=0, le=2000, allow_inf_nan=False)] | None = None
    glue_line_stiffness: Annotated[float, Field(gt=0, le=2, allow_inf_nan=False)] | None = None
    relaxation: Annotated[float, Field(ge=0, le=2, allow_inf_nan=False)] | None = None
    sawn: Literal["flat", "quarter", "mixed"] = "mixed"
    allow_for_moisture: bool = False
    spares: Annotated[int, Field(ge=0, le=50)] = 1
    least_plies: Annotated[int, Field(ge=1, le=MOST_PLIES)] = 1


# --- the press


class BetweenItem(Strict):
    """Something that lies on the part and that the shop file does not know; `folds` where it is the bag's own film."""

    name: Line
    thickness_mm: NonNegativeMm
    folds: bool = False


BetweenAsk = Annotated[
    Annotated[Line, Tag(VALUE)] | Annotated[BetweenItem, Tag(TABLE)],
    by_shape("expected a name, or a table with name and thickness"),
]


#: What goes into the bag: the part alone, form and part together, or nothing (cauls under clamps).
Way = Literal["part-bagged", "form-bagged", "clamped"]


class PressAsk(Strict):
    """The pressing: which side the form is on, what goes into the bag, what lies against the part.

    `way: part-bagged` puts the bag round the part alone and the form outside it, `form-bagged` puts both in one bag,
    `clamped` takes no bag but cauls under clamps. `between` lies on the form's side of the part and `over` on the
    other, both counted from the part. `side: auto` takes the male form unless folds in the bag would break the part's
    tolerance there. `bags` hang on one pump. `slack` is what was left between the clamps when the stack was drawn
    round the form; `off_form_tolerance` is how far the part may move off the form, twice the part's where none is said.
    """

    side: Literal["male", "female", "auto"]
    way: Way = "part-bagged"
    between: Annotated[tuple[BetweenAsk, ...], Field(max_length=MOST_LYING)] | None = None
    over: Annotated[tuple[BetweenAsk, ...], Field(max_length=MOST_LYING)] | None = None
    vacuum_kpa: PressureKpa | None = None
    bags: Annotated[int, Field(ge=1, le=50)] = 1
    slack_mm: NonNegativeMm | None = None
    off_form_tolerance_mm: PositiveMm | None = None


# --- the form


#: Least material between two features of a form, or between a feature and an edge. Common practice, no source.
WALL_MM = 12.0


class ReliefAsk(Strict):
    """Holes behind the face in which the clamps' fixed jaws bear."""

    shape: Literal["round", "slot"] = "round"
    setback_mm: PositiveMm = 40.0
    spacing_mm: SpacingMm = 200.0


class ChannelAsk(Strict):
    """Vacuum channel: how far its layers stand back from the face, and the ports that lead out of it."""

    depth_mm: PositiveMm = 6.0
    port_width_mm: PositiveMm = 8.0
    port_spacing_mm: SpacingMm = 300.0


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

    `backing` is the width of a band, or the least depth of a block behind the face; without it, what a clamp relief
    and the walls beside it take, or more where the form would give. A feature is `true`
    (with the shop's usual sizes), `false`, or a table of its sizes; without a key the program decides:
    reliefs where the form is not in the bag, a channel where it is, a bar seat where there are two legs and the bag
    goes round the part alone.
    """

    sheet: Line | None = None
    body: Literal["block", "band"] = "band"
    backing_mm: PositiveMm | None = None
    run_on_mm: NonNegativeMm = 25.0
    least_pieces: Annotated[int, Field(ge=1, le=50)] = 1
    clamp_reliefs: ReliefsAsk | None = None
    channel: ChannelsAsk | None = None
    spreader_bar: BarsAsk | None = None


#: Keys that may stand at the top of a recipe, and where each belongs.
SHORT: Mapping[str, tuple[str, str]] = {
    "arch": ("part", "arch"),
    "measured_on": ("part", "measured_on"),
    "legs": ("part", "legs"),
    "depth": ("part", "depth"),
    "thickness": ("laminate", "thickness"),
    "wood": ("laminate", "wood"),
    "plies": ("laminate", "plies"),
    "adhesive": ("laminate", "adhesive"),
    "way": ("press", "way"),
    "side": ("press", "side"),
}


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
