"""A recipe, a shop file, a schedule and drawings that are sound, with every key, as the ground that inputs grow on."""

from __future__ import annotations

from typing import Any

SOUND: dict[str, Any] = {
    "format": 1,
    "name": "hatch",
    "units": "mm",
    "note": "Coal hatch of the Marrow Lane library",
    "part": {
        "arch": {"kind": "semicircle", "span": 700},
        "measured_on": "centre",
        "legs": {"right": 80, "left": 80},
        "depth": 60,
        "edge_trim": 3,
        "end_trim": 25,
        "tolerance": 0.8,
    },
    "laminate": {
        "wood": "white ash",
        "thickness": 18,
        "plies": 6,
        "adhesive": "urea formaldehyde",
        "spread_g_per_m2": 200,
        "glue_line_stiffness": 1.0,
        "relaxation": 1.0,
        "sawn": "mixed",
        "spares": 1,
        "allow_for_moisture": False,
    },
    "press": {
        "side": "male",
        "way": "part-bagged",
        "slack": 0.5,
        "off_form_tolerance": 1.6,
        "between": ["film"],
        "over": ["film"],
        "vacuum": "80 kPa",
        "bags": 1,
    },
    "form": {
        "sheet": "own board",
        "body": "band",
        "backing": 130,
        "run_on": 25,
        "least_pieces": 1,
        "clamp_reliefs": {"shape": "round", "setback": 40, "spacing": 200},
        "channel": {"depth": 6, "port_width": 8, "port_spacing": 300},
        "spreader_bar": {"height": -40},
    },
}

#: Other arches, whose sizes are tried too.
ARCHES: tuple[dict[str, Any], ...] = (
    {"kind": "semicircle", "span": 900},
    {"kind": "segmental", "radius": 900, "sweep": "60 deg"},
    {"kind": "three-centred", "span": 900, "rise": 300, "springing_radius": 200},
    {"kind": "ellipse", "span": 900, "rise": 300},
    {"kind": "pointed", "span": 900, "rise": 700},
    {"kind": "four-centred", "span": 900, "rise": 400, "springing_radius": 200, "crown_radius": 900},
    {"kind": "ogee", "span": 900, "rise": 700, "lower_radius": 300},
    {"kind": "quarter", "radius": 700},
    {"kind": "serpentine", "span": 1200, "offset": 200},
    {"kind": "chain", "pieces": [{"length": 100}, {"length": 700, "radius": 600}, {"length": 100}]},
    {"kind": "points", "fit": "fair", "xy": [[0, 0], [200, 90], [400, 130], [600, 130], [800, 90], [1000, 0]]},
    {"kind": "points", "fit": "circle", "ordinates": {"spacing": 200, "heights": [0, 90, 130, 90, 0]}},
)

SHOP: dict[str, Any] = {
    "format": 1,
    "name": "marrow-lane-shop",
    "units": "mm",
    "note": "",
    "sheet": "own board",
    "sheets": {
        "own board": {
            "thickness": 18.1,
            "length": 2440,
            "width": 1220,
            "edge_margin": 12,
            "density_kg_per_m3": 750,
            "quantity": 9,
        }
    },
    "stock": [{"sheet": "own board", "length": 2800, "width": 2070, "quantity": 2}],
    "offcuts": [{"sheet": "own board", "length": 800, "width": 600, "quantity": 1}],
    "nesting": {"rotations_deg": [0, 90], "keep": 300},
    "between": {"old tarp": 0.4, "new tarp": {"thickness": 0.2, "folds": True}},
    "woods": {
        "attic oak": {
            "modulus": "11 GPa",
            "strength": "90 MPa",
            "specific_gravity": 0.7,
            "change_radial": 0.002,
            "change_tangential": 0.003,
            "source": "bent three strips",
        }
    },
    "ply_thicknesses": [3, 2],
    "boards": {"thickness": 25.4, "width": 150, "length": 2400, "kerf": 1.2, "planing": 0.8},
    "adhesives": {
        "tin in the loft": {
            "like": "urea formaldehyde",
            "spread_g_per_m2": 200,
            "open_min": 20,
            "clamp_min": 240,
            "least_temperature": "12 C",
            "glue_line_stiffness": 1.0,
            "relaxation": 1.0,
            "source": "its label",
        }
    },
    "adhesive": "tin in the loft",
    "people": 2,
    "temperature": "22 C",
    "cutter": {"diameter": 9.5, "margin": 5},
    "clamp": {"jaw": 45, "play": 5},
    "bar": {"height": 35, "width": 30, "play": 3},
    "dowel": {"diameter": 10},
    "bag": {"sheeting": "vinyl", "thickness": 0.5},
    "pump": {"flow_m3_per_h": 5, "vacuum": "24 inHg", "switch_band": "2 inHg", "lost_in_a_minute": "1 inHg"},
    "altitude": "310 m",
    "router": {
        "dxf_version": "R2010",
        "units": "mm",
        "label_height": 10,
        "layers": {"outside_profile": "EDGE", "drilling": "HOLES", "groove": "GROOVE {depth}"},
    },
}

SCHEDULE = """\
opening,quantity,arch,span,rise,depth,legs,measured on,remarks,laminate.plies,press.side,part.tolerance
W-1,2,segmental,900,180,,,,Hall; north,,,
W-2,1,semicircle,900,,60,80,inside,Porch,6,male,0.8
"""


def keys_of(data: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """Every path to a value or a table in plain data."""
    steps = list(data.items()) if isinstance(data, dict) else list(enumerate(data)) if isinstance(data, list) else []
    return [found for step, held in steps for found in ((*path, step), *keys_of(held, (*path, step)))]
