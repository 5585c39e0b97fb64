"""Stage `recipe`: what belongs to the shop rather than to the part: sheets, cutters, clamps, bars, pump, router.

The shop file (`shop.yaml`) is read by the same rules as a recipe. Without one these defaults stand; each is
common practice, no source, unless its catalogue entry names one. At its end: what the shop presses with and when
somebody is there, and the paper that it prints on and how its drawings lay out views.
"""

from __future__ import annotations

import re
from typing import Annotated, Literal

from pydantic import AfterValidator, Field, Tag, WithJsonSchema, model_validator

from formgen.lengths import Units
from formgen.recipe.quantities import (
    AltitudeMm,
    DurationMin,
    NonNegativeMm,
    PositiveMm,
    PressureKpa,
    StressMpa,
    TemperatureC,
)
from formgen.recipe.strict import LIST, TABLE, VALUE, Format, Line, Name, Strict, by_shape


class Sheet(Strict):
    """A stock sheet as measured: the thickness decides the stack, not the name on the label."""

    thickness_mm: PositiveMm
    length_mm: PositiveMm
    width_mm: PositiveMm
    edge_margin_mm: NonNegativeMm = 12.0
    density_kg_per_m3: Annotated[float, Field(gt=0, le=3000, allow_inf_nan=False)] = 750.0
    quantity: Annotated[int, Field(ge=0, le=100000)] | None = None


class StockSize(Strict):
    """Another size in which a sheet is in stock; without a quantity there is no end of it."""

    sheet: Line
    length_mm: PositiveMm
    width_mm: PositiveMm
    quantity: Annotated[int, Field(ge=0, le=100000)] | None = None


class Offcut(StockSize):
    """A piece of sheet left from other work, square and sound: used before new sheets."""

    quantity: Annotated[int, Field(ge=0, le=100000)] = 1


class Nesting(Strict):
    """The turns allowed for pieces on a sheet (degrees), and the shorter side from which a rest is worth keeping.

    Pieces are never mirrored: their labels and grooves are on the upper face.
    """

    rotations_deg: Annotated[
        tuple[Annotated[float, Field(ge=0, lt=360, allow_inf_nan=False)], ...], Field(min_length=1, max_length=36)
    ] = (0.0, 90.0, 180.0, 270.0)
    keep_mm: PositiveMm = 300.0


class ShopBetween(Strict):
    """Something of the shop's own that may lie on the part; `folds` where it is the bag, which gathers in a hollow."""

    thickness_mm: NonNegativeMm
    folds: bool = False


ShopBetweenAsk = Annotated[
    Annotated[NonNegativeMm, Tag(VALUE)] | Annotated[ShopBetween, Tag(TABLE)],
    by_shape("expected a thickness, or a table with thickness and folds"),
]


class ShopBag(Strict):
    """The bag that the shop presses in: what its sheeting is called, and one layer of it pressed flat.

    Reusable bags are of 0.5 or 0.76 mm (20 and 30 mil): common practice, no source. Measure yours.
    """

    sheeting: Line = "vinyl"
    thickness_mm: PositiveMm = 0.5


class Cutter(Strict):
    """The router bit, and the room left between pieces beside its own width."""

    diameter_mm: PositiveMm = 9.525
    margin_mm: NonNegativeMm = 5.0


class Clamp(Strict):
    """The clamps that bear in the reliefs: width of the jaw and the play around it."""

    jaw_mm: PositiveMm = 45.0
    play_mm: NonNegativeMm = 5.0


class Bar(Strict):
    """The spreader bar's section: its height in the plane of the arch, its width across, the play around it."""

    height_mm: PositiveMm = 35.0
    width_mm: PositiveMm = 30.0
    play_mm: NonNegativeMm = 3.0


class Dowel(Strict):
    """The dowels that line the layers up."""

    diameter_mm: PositiveMm = 10.0


class Pump(Strict):
    """The vacuum pump: free-air flow and the pressure it usually holds, gauge.

    `switch_band` is how far the vacuum falls before a vacuum switch starts the pump again; `lost_in_a_minute` is what
    the shop's last leak test of a bag lost with the pump shut off.
    """

    flow_m3_per_h: Annotated[float, Field(ge=0.01, le=100000, allow_inf_nan=False)] = 5.0
    vacuum_kpa: PressureKpa = 80.0
    switch_band_kpa: PressureKpa = 6.75
    lost_in_a_minute_kpa: PressureKpa | None = None


class ShopWood(Strict):
    """A wood of the shop's own: modulus and bending strength of clear wood, and who measured them, if known."""

    modulus_mpa: StressMpa
    strength_mpa: StressMpa
    specific_gravity: Annotated[float, Field(gt=0, le=1.5, allow_inf_nan=False)] | None = None
    change_radial: Annotated[float, Field(gt=0, le=0.02, allow_inf_nan=False)] | None = None
    change_tangential: Annotated[float, Field(gt=0, le=0.02, allow_inf_nan=False)] | None = None
    source: Line | None = None


class Boards(Strict):
    """The boards that plies are sawn from, the saw's kerf, and what planing takes off a ply, both faces together.

    Without a width one strip of the plies' width is counted from a board; without a length boards are long enough.
    """

    thickness_mm: PositiveMm = 25.4
    width_mm: PositiveMm | None = None
    length_mm: PositiveMm | None = None
    kerf_mm: NonNegativeMm = 1.2
    planing_mm: NonNegativeMm = 0.8


class ShopAdhesive(Strict):
    """A glue of the shop's own: what its data sheet says, and the catalogue's glue whose figures stand for the rest."""

    like: Line
    spread_g_per_m2: Annotated[float, Field(gt=0, le=2000, allow_inf_nan=False)] | None = None
    open_min: Annotated[float, Field(gt=0, le=1440, allow_inf_nan=False)] | None = None
    clamp_min: Annotated[float, Field(gt=0, le=20160, allow_inf_nan=False)] | None = None
    least_temperature_celsius: TemperatureC | None = None
    glue_line_stiffness: Annotated[float, Field(gt=0, le=2, allow_inf_nan=False)] | None = None
    relaxation: Annotated[float, Field(ge=0, le=2, allow_inf_nan=False)] | None = None
    source: Line | None = None


class DxfLayers(Strict):
    """Names of the drawing layers in the router's files; `{depth}` in the groove's name is its depth.

    Every purpose keeps a layer of its own: two may not share a name.
    """

    outside_profile: Line = "OUTSIDE PROFILE"
    inside_profile: Line = "INSIDE PROFILE"
    drilling: Line = "DRILLING"
    groove: Line = "GROOVE {depth}"
    marks: Line = "MARKS"
    labels: Line = "LABELS"
    sheet_notes: Line = "SHEET NOTES"

    @model_validator(mode="after")
    def _no_two_alike(self) -> DxfLayers:
        """Layer names in a drawing do not tell capitals apart, so neither does this."""
        purpose_of: dict[str, str] = {}
        for purpose in type(self).model_fields:
            name = getattr(self, purpose)
            other = purpose_of.setdefault(name.casefold(), purpose)
            if other != purpose:
                raise ValueError(f"expected a name of its own for {purpose}, got {name} which {other} has; rename one")
        return self


class Router(Strict):
    """The drawings that the router's control reads: version, layer names, letters.

    `labels: short` writes name, layer, arrow and which side is up on a piece; `long` radius and name of each line too.
    """

    dxf_version: Literal["R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"] = "R2010"
    units: Literal["in", "mm"] | None = None
    layers: DxfLayers = Field(default_factory=DxfLayers)
    label_height_mm: PositiveMm = 10.0
    labels: Literal["short", "long"] = "short"


class Times(Strict):
    """Time that handling takes: one more piece of a layer (drilled, labelled, glued in), one more sheet at the router.

    With `sheet_is_worth`, work for which the shop would rather use another sheet, they decide into how many pieces a
    batch cuts a ring. Without them usual values are taken (figures `piece_min`, `sheet_min`, `sheet_worth_min`).
    """

    piece_minutes: DurationMin | None = None
    sheet_minutes: DurationMin | None = None


Weekday = Literal["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]

_CLOCK = r"^([01]?[0-9]|2[0-3]):[0-5][0-9]$"


def _check_clock(text: str) -> str:
    if not re.fullmatch(_CLOCK, text):
        raise ValueError("expected a time of day; write for example 7:30 or 16:30")
    return text


#: A time of day on the clock of 24 hours, `7:30` or `16:30`.
Clock = Annotated[
    str,
    AfterValidator(_check_clock),
    WithJsonSchema({"type": "string", "pattern": _CLOCK, "description": "A time of day.", "examples": ["7:30"]}),
]


def clock_min(clock: str) -> int:
    """Minutes after midnight: `7:30` is 450."""
    hours, minutes = clock.split(":")
    return 60 * int(hours) + int(minutes)


class BarStock(Strict):
    """Spreader bars that are alike; without a reach they are long enough for every part."""

    quantity: Annotated[int, Field(ge=1, le=1000)] = 1
    reach_mm: PositiveMm | None = None


BarsHeld = Annotated[
    Annotated[Annotated[int, Field(ge=0, le=1000)], Tag(VALUE)]
    | Annotated[Annotated[tuple[BarStock, ...], Field(max_length=12)], Tag(LIST)],
    by_shape("expected how many, or a list with quantity and reach"),
]


class PressHours(Strict):
    """Bags, spreader bars and teams that the shop has, its hours, and whether bags stay on the pump without anybody.

    `teams` are glue-ups that are laid up at once, each by the shop's `people`. `overnight: false` keeps the whole time
    in the bag within one day's hours, since no pump should run with nobody near; `true` lets it run through nights and
    days off, which a warning then counts. A part under clamps needs nobody while its glue sets.
    """

    bags: Annotated[int, Field(ge=1, le=500)] = 2
    bars: BarsHeld = 2
    teams: Annotated[int, Field(ge=1, le=50)] = 1
    day_start: Clock = "8:00"
    day_end: Clock = "16:30"
    days: Annotated[tuple[Weekday, ...], Field(min_length=1, max_length=7)] = ("Mon", "Tue", "Wed", "Thu", "Fri")
    overnight: bool = False

    @model_validator(mode="after")
    def _a_day_has_hours(self) -> PressHours:
        if clock_min(self.day_end) < clock_min(self.day_start) + 60:
            raise ValueError(
                f"expected day_end an hour or more after day_start, got {self.day_start} to {self.day_end}; correct one"
            )
        if len(set(self.days)) < len(self.days):
            raise ValueError("expected each day of the week once; delete what stands twice")
        return self


Size = Literal["letter", "A4", "tabloid", "A3"]

#: The paper for all pages, and the larger one for the shop drawing. Without the shop's word a recipe in inches is
#: drawn in third-angle projection, one in mm in first-angle projection (common practice, no source).
USUAL: dict[Units, tuple[Size, Size]] = {"in": ("letter", "tabloid"), "mm": ("A4", "A3")}


class Paper(Strict):
    """The shop's paper: `size` holds every drawing on it; `projection` says where its views stand."""

    size: Size | None = None
    projection: Literal["third-angle", "first-angle"] | None = None

    def sizes(self, units: Units) -> tuple[Size, ...]:
        """The papers for a recipe's pages: the first for all but the shop drawing, the last for that."""
        return USUAL[units] if self.size is None else (self.size,)

    def third_angle(self, units: Units) -> bool:
        """Tell whether views stand on the side that they are seen from."""
        return self.projection == "third-angle" if self.projection is not None else units == "in"


class Shop(Strict):
    """The shop file."""

    format: Format = 1
    name: Name = "shop"
    units: Literal["in", "mm"] = "mm"
    note: str = ""
    sheets: dict[Line, Sheet] = Field(default_factory=dict)
    sheet: Line | None = None
    stock: tuple[StockSize, ...] = ()
    offcuts: tuple[Offcut, ...] = ()
    nesting: Nesting = Field(default_factory=Nesting)
    between: dict[Line, ShopBetweenAsk] = Field(default_factory=dict)
    woods: dict[Line, ShopWood] = Field(default_factory=dict)
    ply_thicknesses_mm: Annotated[tuple[PositiveMm, ...], Field(min_length=1)] | None = None
    boards: Boards = Field(default_factory=Boards)
    adhesives: dict[Line, ShopAdhesive] = Field(default_factory=dict)
    adhesive: Line | None = None
    people: Annotated[int, Field(ge=1, le=50)] = 1
    press_days: PressHours = Field(default_factory=PressHours)
    temperature_celsius: TemperatureC = 21.0
    figures: dict[Line, Annotated[float, Field(gt=0, allow_inf_nan=False)]] = Field(default_factory=dict)
    cutter: Cutter = Field(default_factory=Cutter)
    clamp: Clamp = Field(default_factory=Clamp)
    bar: Bar = Field(default_factory=Bar)
    dowel: Dowel = Field(default_factory=Dowel)
    pump: Pump = Field(default_factory=Pump)
    bag: ShopBag = Field(default_factory=ShopBag)
    altitude_mm: AltitudeMm = 0.0
    router: Router = Field(default_factory=Router)
    paper: Paper = Field(default_factory=Paper)
    times: Times = Field(default_factory=Times)
    sheet_is_worth_minutes: DurationMin | None = None
