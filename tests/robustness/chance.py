"""Recipes made by chance over all kinds of arch and all keys, in both units, from 200 mm to 6 m.

The same seed gives the same recipe. Sizes are drawn as a shop would have them, so that most could be made; what a
combination then asks for is left to chance.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from typing import Any

from formgen.recipe.schema import SHORT

KINDS = (
    "semicircle", "segmental", "three-centred", "ellipse", "pointed", "four-centred", "ogee", "quarter", "serpentine",
    "chain", "points", "drawing",
)  # fmt: skip
WOODS = (
    "white oak", "yellow-poplar", "white ash", "black cherry", "western red cedar", "American beech", "sugar maple",
)  # fmt: skip
DRAWING = "alcove-path.dxf"
#: Of so many recipes one leaves keys to the program.
LEFT_OUT = 5


def chance_recipe(seed: int) -> dict[str, Any]:
    """A recipe as plain data."""
    r = random.Random(seed)  # noqa: S311 -- the same recipes on every run
    units = r.choice(("in", "mm"))
    span = math.exp(r.uniform(math.log(200.0), math.log(6000.0)))
    kind = r.choice(KINDS)
    thickness, plies = _plies(r, span)
    arch = _arch(r, kind, span, units)
    part: dict[str, Any] = {
        "arch": arch,
        "measured_on": r.choice(("inside", "outside", "centre")),
        "depth": size_typed(r.uniform(10.0, min(300.0, 40.0 + span / 4.0)), units),
    }
    legs = _legs(r, kind, arch, span, units)
    if legs is not None:
        part["legs"] = legs
    _maybe(r, part, "edge_trim", lambda: size_typed(r.uniform(0.0, 8.0), units))
    _maybe(r, part, "end_trim", lambda: size_typed(r.choice((0.0, 10.0, 25.0, 60.0, 150.0)), units))
    _maybe(r, part, "tolerance", lambda: size_typed(r.choice((0.4, 0.8, 1.5)), units))
    if kind == "drawing":
        arch |= _chosen(random.Random(f"chosen {seed}"))  # noqa: S311 -- of its own: no other seed changes its recipe
    whole = {
        "format": 1,
        "name": f"chance-{seed}",
        "units": units,
        "part": part,
        "laminate": _laminate(r, thickness, plies, units),
        "press": _press(r, units),
        "form": {"body": "block", **_form(r, units)},
    }
    return _left_out(random.Random(f"left out {seed}"), whole) if seed % LEFT_OUT == LEFT_OUT - 1 else whole  # noqa: S311


def _left_out(r: random.Random, recipe: dict[str, Any]) -> dict[str, Any]:
    """The recipe with some of the keys left to the program, and some written the short way."""
    for section, key in (
        ("part", "end_trim"), ("press", "side"), ("form", "body"), ("form", "backing"), ("form", "clamp_reliefs"),
        ("form", "spreader_bar"),
    ):  # fmt: skip
        if r.random() < 0.6:
            recipe[section].pop(key, None)
    laminate = recipe["laminate"]
    if not isinstance(laminate["plies"], list) and r.random() < 0.6:
        del laminate["plies"]
        _maybe(r, laminate, "least_plies", lambda: r.randint(1, 12), 0.3)
    for key, (section, name) in SHORT.items():
        if name in recipe[section] and r.random() < 0.4:
            recipe[key] = recipe[section].pop(name)
    for key in ("format", "name", "part", "laminate", "press", "form"):
        if not recipe[key] or (key in {"format", "name"} and r.random() < 0.5):
            del recipe[key]
    return recipe


def chance_shop(seed: int) -> dict[str, Any]:
    """A shop file as plain data; every third is the usual one."""
    r = random.Random(f"shop {seed}")  # noqa: S311 -- the same shops on every run
    shop: dict[str, Any] = {"format": 1, "name": "own", "units": "mm"}
    if r.random() < 0.33:
        return shop
    thickness = r.choice((12.1, 15.0, 18.1, 25.2))
    sheet = {"thickness": thickness, "length": r.choice((2440, 2800, 1220)), "width": r.choice((1220, 2070, 610))}
    shop |= {"sheet": "board", "sheets": {"board": sheet}}
    _maybe(r, shop, "clamp", lambda: {"jaw": r.choice((25, 45, 60)), "play": r.choice((2, 5))})
    _maybe(r, shop, "dowel", lambda: {"diameter": r.choice((6, 8, 10, 12))})
    _maybe(r, shop, "bar", lambda: {"height": r.choice((25, 35, 50)), "width": r.choice((10, 30)), "play": 3})
    _maybe(
        r, shop, "router", lambda: {"label_height": r.choice((5, 10, 20)), "dxf_version": r.choice(("R12", "R2010"))}
    )
    if random.Random(f"labels {seed}").random() < 0.5:  # noqa: S311 -- drawn apart, so that each seed keeps its shop
        shop.setdefault("router", {})["labels"] = "long"
    return shop


def size_typed(mm: float, units: str) -> Any:
    """A size as people type it: tenths of a mm, or sixteenths of an inch."""
    if units == "mm":
        return round(mm, 1) if mm < 50.0 else round(mm)
    sixteenths = max(round(mm / 25.4 * 16), 1 if mm > 0 else 0)
    whole, part = divmod(sixteenths, 16)
    fraction = f"{part}/16" if part else ""
    return f"{whole} {fraction}".strip() if fraction and whole else fraction or whole


def _maybe(r: random.Random, table: dict[str, Any], key: str, value: Any, share: float = 0.35) -> None:
    """The key with a value, or left to its default."""
    if r.random() < share:
        table[key] = value()


def _plies(r: random.Random, span: float) -> tuple[float, int]:
    """A thickness and a number of plies thin enough to be bent, most of the time."""
    thickness = min(r.choice((8.0, 9.5, 12.7, 16.0, 19.0, 25.4, 32.0, 44.0)), max(span / 12.0, 6.0))
    ply = min(max(span / 2.0 / r.uniform(90.0, 250.0), 1.0), 6.0)
    return thickness, max(2, round(thickness / ply))


def _laminate(r: random.Random, thickness: float, plies: int, units: str) -> dict[str, Any]:
    found: dict[str, Any] = {"wood": r.choice(WOODS)}
    if r.random() < 0.2:
        each = round(thickness / plies, 2)
        found["plies"] = [{"thickness": f"{each} mm", "count": plies - 1}, {"thickness": f"{each / 2:.3f} mm"}]
    else:
        found |= {"thickness": size_typed(thickness, units), "plies": "auto" if r.random() < 0.25 else plies}
    _maybe(r, found, "adhesive", lambda: r.choice(("urea formaldehyde", "epoxy", "polyvinyl acetate")), 0.7)
    _maybe(r, found, "relaxation", lambda: r.choice((0.0, 0.5, 1.0, 1.2)), 0.2)
    return found


def _press(r: random.Random, units: str) -> dict[str, Any]:
    found: dict[str, Any] = {"side": r.choice(("male", "female", "auto"))}
    _maybe(r, found, "way", lambda: r.choice(("part-bagged", "form-bagged", "clamped")), 0.6)
    _maybe(r, found, "vacuum", lambda: r.choice(("20 inHg", "80 kPa", "24 inHg")), 0.3)
    _maybe(r, found, "between", lambda: r.choice((["film"], [], ["film", "breather"], ["caul"])), 0.2)
    return found


def _form(r: random.Random, units: str) -> dict[str, Any]:
    found: dict[str, Any] = {}
    _maybe(r, found, "body", lambda: r.choice(("block", "band")), 0.7)
    _maybe(r, found, "backing", lambda: size_typed(r.uniform(60.0, 220.0), units), 0.7)
    _maybe(r, found, "run_on", lambda: size_typed(r.choice((0.0, 25.0, 60.0)), units), 0.2)
    _maybe(r, found, "least_pieces", lambda: r.randint(1, 5), 0.25)
    reliefs = {"shape": r.choice(("round", "slot")), "setback": size_typed(r.uniform(20.0, 60.0), units),
               "spacing": size_typed(r.uniform(120.0, 400.0), units)}  # fmt: skip
    _maybe(r, found, "clamp_reliefs", lambda: r.choice((True, False, reliefs)), 0.4)
    channel = {"depth": size_typed(r.uniform(3.0, 12.0), units), "port_width": size_typed(r.uniform(5.0, 15.0), units)}
    _maybe(r, found, "channel", lambda: r.choice((True, False, channel)), 0.2)
    bar = {"height": size_typed(r.uniform(0.0, 200.0), units) if r.random() < 0.5 else f"{-r.randint(0, 300)} mm"}
    _maybe(r, found, "spreader_bar", lambda: r.choice((False, bar, bar)), 0.3)
    return found


def _legs(r: random.Random, kind: str, arch: dict[str, Any], span: float, units: str) -> Any:
    """Straight runs, or None; only where the kind can have them."""
    if r.random() < 0.5 or kind in ("serpentine", "chain", "drawing"):
        return None
    length = r.choice((r.uniform(20.0, 0.6 * span), r.uniform(20.0, 1.5 * span)))
    if kind in ("segmental", "points", "pointed", "ogee", "four-centred") or r.random() < 0.2:
        return {"length": size_typed(length, units), "run": r.choice(("plumb", "tangent"))}
    if r.random() < 0.15:
        return {"right": size_typed(length, units), "left": size_typed(length * r.uniform(0.3, 1.0), units)}
    return size_typed(length, units)


def _arch(r: random.Random, kind: str, span: float, units: str) -> dict[str, Any]:
    """An arch of the kind about as wide as the span."""

    def size(mm: float) -> Any:
        return size_typed(mm, units)

    def rise(low: float, high: float, share: float = 1.0) -> dict[str, Any]:
        return {"rise": size(span * r.uniform(low, high))} if r.random() < share else {}

    def segmental() -> dict[str, Any]:
        by_radius = {"radius": size(span), "sweep": f"{r.randint(20, 175)} deg"}
        return by_radius if r.random() < 0.3 else {"span": size(span), **rise(0.02, 0.49)}

    wide = {"span": size(span)}
    made: dict[str, Callable[[], dict[str, Any]]] = {
        "semicircle": lambda: wide,
        "segmental": segmental,
        "three-centred": lambda: wide | rise(0.25, 0.48, 0.7),
        "ellipse": lambda: wide | rise(0.2, 0.8),
        "pointed": lambda: wide | rise(0.55, 1.5, 0.6),
        "four-centred": lambda: wide,
        "ogee": lambda: wide | rise(0.5, 1.2),
        "quarter": lambda: {"radius": size(span / 2.0)},
        "serpentine": lambda: wide | {"offset": size(span * r.uniform(0.05, 0.4))},
        "chain": lambda: {"pieces": _chain(r, span, units)},
        "points": lambda: {"fit": r.choice(("circle", "ellipse", "fair")), "ordinates": _ordinates(r, span, units)},
        "drawing": lambda: {"file": DRAWING, "layer": "PATH"},
    }
    return {"kind": kind, **made[kind]()}


def _chosen(r: random.Random) -> dict[str, Any]:
    """A way to choose the line of the shipped drawing, which is in mm."""
    found: dict[str, Any] = {}
    _maybe(r, found, "near", lambda: [r.randint(-600, 600), r.randint(-100, 600)])
    _maybe(r, found, "units", lambda: r.choice(("mm", "cm")))
    return found


def _chain(r: random.Random, span: float, units: str) -> list[dict[str, Any]]:
    pieces: list[dict[str, Any]] = []
    for _ in range(r.randint(1, 5)):
        piece: dict[str, Any] = {"length": size_typed(span * r.uniform(0.1, 0.6), units)}
        if not pieces or r.random() < 0.6:
            piece["radius"] = size_typed(span * r.uniform(0.3, 2.0), units)
            if r.random() < 0.25:
                piece["radius"] = f"-{piece['radius']}" if units == "in" else -piece["radius"]
        pieces.append(piece)
    return pieces


def _ordinates(r: random.Random, span: float, units: str) -> dict[str, Any]:
    """Readings over a flat arch, each off by a little."""
    count = r.randint(5, 15)
    rise = span * r.uniform(0.08, 0.35)
    radius = (span**2 / 4.0 + rise**2) / (2.0 * rise)
    heights = []
    for i in range(count):
        x = span * (i / (count - 1) - 0.5)
        true = math.sqrt(radius**2 - x**2) - (radius - rise)
        heights.append(size_typed(max(true + r.uniform(-0.5, 0.5), 0.0), units))
    return {"spacing": size_typed(span / (count - 1), units), "heights": heights}
