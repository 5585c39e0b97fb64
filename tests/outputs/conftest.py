"""Two small forms of plain shapes, whose areas and volumes have closed forms."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Literal

import pytest

from formgen.curve.stage import make_arch
from formgen.form.model import Form
from formgen.form.stack import Groove, Hole, Label, Layer, Mark, Opening, Piece
from formgen.form.strength import form_strength
from formgen.form.weight import weigh
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.outline import Outline, Point, Vertex
from formgen.geometry.pose import Pose
from formgen.holding.model import Holding
from formgen.holding.stage import make_holding
from formgen.laminate.stage import make_laminate
from formgen.makes.parts import parts_made
from formgen.press.setup import Pressing
from formgen.press.stage import make_pressing
from formgen.recipe.model import Recipe
from formgen.recipe.schema import RecipeFile
from formgen.recipe.shop import Sheet, Shop
from tests.outputs.laid import Laid, lay_out

THICKNESS_MM = 18.7


def pressing(name: str, version: str, units: str) -> Pressing:
    """A pressing through the real stages; the forms here are drawn by hand and only carry it along."""
    table = {
        "format": 1,
        "name": name,
        "units": "mm",
        "part": {"arch": {"kind": "semicircle", "span": 800}, "measured_on": "inside", "depth": 70},
        "laminate": {"wood": "white ash", "thickness": 20, "plies": 4},
        "press": {"side": "male", "vacuum": "80 kPa"},
    }
    shop = {"format": 1, "router": {"dxf_version": version, "units": units}}
    sheet = {"thickness": THICKNESS_MM, "length": 2440, "width": 1220}
    recipe = Recipe(
        asked=RecipeFile.model_validate(table, context={"units": "mm"}),
        shop=Shop.model_validate(shop, context={"units": "mm"}),
        folder=Path(),
        sheet_name="mdf 19",
        sheet=Sheet.model_validate(sheet, context={"units": "mm"}),
    )
    return make_pressing(make_laminate(make_arch(recipe)))


def label(text: str, at: Point) -> Label:
    """Two strokes that stand for letters."""
    x, y = at
    strokes = (((x, y), (x + 5, y + 10), (x + 10, y)), ((x + 2, y + 4), (x + 8, y + 4)))
    return Label(text=text, origin=at, height_mm=10.0, strokes=strokes)


def held(body: Literal["block", "band"], press: Pressing, face: ArcSpline, stack: Sequence[Layer]) -> Holding:
    """A form of layers drawn by hand, with what the program finds of their strength and weight."""
    form = Form(
        pressing=press, makes=parts_made(press), body=body, face=face, layers=tuple(stack), bar=None,
        relief_stations_mm=(),
        strength=form_strength(press, stack, face), weights=weigh(press, stack),
    )  # fmt: skip
    return make_holding(form)


def block_form(layers: int = 4, version: str = "R2010", units: str = "mm") -> Form:
    """Male block: half a disc of R 400 on legs of 100 mm, a relief, a slot and two dowels in every layer."""
    face = ArcSpline(Pose(400.0, 0.0, math.pi / 2), ((math.pi * 400.0, 1 / 400.0),)).with_legs(100.0, 100.0)
    outline = Outline.of(face)
    openings = (
        Opening(outline=Outline.obround((0.0, 340.0), (1.0, 0.0), 55.0, 55.0), purpose="clamp relief"),
        Opening(outline=Outline.obround((-200.0, 150.0), (0.8, 0.6), 90.0, 50.0), purpose="clamp relief"),
    )
    holes = (Hole(centre=(-250.0, -60.0), diameter_mm=10.0), Hole(centre=(230.0, -40.0), diameter_mm=10.0))
    marks = (Mark(kind="centre line", start=(0.0, -90.0), end=(0.0, 20.0)),)
    stack = []
    for i in range(layers):
        name = f"L{i + 1:02d}"
        piece = Piece(
            name=name,
            outline=outline,
            openings=openings,
            holes=holes,
            grooves=(),
            marks=marks,
            labels=(label(f"HALL ARCH {name}", (50.0, 50.0)),),
        )
        stack.append(
            Layer(
                number=i + 1,
                front_mm=i * THICKNESS_MM,
                thickness_mm=THICKNESS_MM,
                outline=outline,
                face=face,
                channel=False,
                bar_seat=False,
                joints=(),
                pieces=(piece,),
            )
        )
    return held("block", pressing("hall-arch", version, units), face, stack)


def port(angle_rad: float, outer_mm: float, inner_mm: float) -> Groove:
    """A radial groove 8 mm wide and 6 deep through a ring, run out 10 mm past its two edges."""
    half = 4.0
    ux, uy = math.cos(angle_rad), math.sin(angle_rad)

    def at(radius_mm: float, aside_mm: float) -> Point:
        along = math.sqrt(radius_mm**2 - aside_mm**2)
        return along * ux - aside_mm * uy, along * uy + aside_mm * ux

    ring: list[Vertex] = [
        (*at(inner_mm, -half), 0.0),
        (*at(outer_mm, -half), math.tan(math.asin(half / outer_mm) / 2)),
        (*at(outer_mm, half), 0.0),
        (*at(inner_mm, half), -math.tan(math.asin(half / inner_mm) / 2)),
    ]
    middle = (outer_mm + inner_mm) / 2
    box = Outline.box((middle * ux, middle * uy), (ux, uy), outer_mm - inner_mm + 20.0, 2 * half)
    return Groove(outline=box, cleared=Outline.tidy(ring), width_mm=2 * half, depth_mm=6.0)


def band_form(layers: int = 4, version: str = "R2010", units: str = "mm") -> Form:
    """Male band R 600 to R 500 on legs of 100 mm, two pieces to a layer; even layers stand back 6 mm with ports."""
    stack = []
    crown = ArcSpline(Pose(600.0, 0.0, math.pi / 2), ((math.pi * 600.0, 1 / 600.0),)).with_legs(100.0, 100.0)
    for i in range(layers):
        channel = i % 2 == 1
        face = crown.parallel(6.0) if channel else crown
        outer = 594.0 if channel else 600.0
        outline = Outline.of(face, crown.parallel(100.0).reversed())
        joint_x = 60.0 if i % 2 else -60.0
        right = outline.cut((joint_x, 0.0), 0.0, -1.0)[0]
        left = outline.cut((joint_x, 0.0), 0.0, 1.0)[0]
        joint = ((joint_x, math.sqrt(outer**2 - joint_x**2)), (joint_x, math.sqrt(500.0**2 - joint_x**2)))
        pieces = []
        for j, (shape, angles) in enumerate(((right, (0.4, 1.1)), (left, (2.0, 2.7)))):
            middle = 0.75 if j == 0 else math.pi - 0.75
            grooves = tuple(port(a, outer, 500.0) for a in angles) if channel else ()
            holes = tuple(
                Hole(centre=(550 * math.cos(a), 550 * math.sin(a)), diameter_mm=10.0)
                for a in (middle - 0.55, middle + 0.5)
            )
            place = (540 * math.cos(middle), 540 * math.sin(middle))
            name = f"L{i + 1:02d}-{j + 1}"
            mark = Mark(kind="springing line", start=(place[0], place[1] - 20), end=(place[0] + 9, place[1] - 20))
            pieces.append(
                Piece(
                    name=name,
                    outline=shape,
                    openings=(),
                    holes=holes,
                    grooves=grooves,
                    marks=(mark,),
                    labels=(label(f"DOOR {name}", place),),
                )
            )
        stack.append(
            Layer(
                number=i + 1,
                front_mm=i * THICKNESS_MM,
                thickness_mm=THICKNESS_MM,
                outline=outline,
                face=face,
                channel=channel,
                bar_seat=False,
                joints=(joint,),
                pieces=tuple(pieces),
            )
        )
    return held("band", pressing("reading-room-door", version, units), crown, stack)


@pytest.fixture(scope="session")
def block() -> Form:
    """Four layers of one piece each."""
    return block_form()


@pytest.fixture(scope="session")
def band() -> Form:
    """Four layers of two pieces each, two of them with a channel and ports."""
    return band_form()


@pytest.fixture(scope="session", params=["block", "band"])
def form(request: pytest.FixtureRequest, block: Form, band: Form) -> Form:
    """Either."""
    return block if request.param == "block" else band


@pytest.fixture(scope="session")
def make_form() -> Callable[[str, str, str], Form]:
    """A function from `block` or `band`, a DXF version and units to a form of two layers."""

    def make(kind: str, version: str, units: str) -> Form:
        return (block_form if kind == "block" else band_form)(2, version, units)

    return make


@pytest.fixture(scope="session")
def laid(tmp_path_factory: pytest.TempPathFactory) -> Laid:
    """A form of bands in three pieces a layer, and its sheets, in a folder of results."""
    return lay_out(tmp_path_factory.mktemp("results"))


@pytest.fixture
def copy(laid: Laid, tmp_path: Path) -> Path:
    """A copy of the folder of results to spoil."""
    for path in laid[0].rglob("*"):
        if path.is_file():
            target = tmp_path / "out" / path.relative_to(laid[0])
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(path.read_bytes())
    return tmp_path / "out"
