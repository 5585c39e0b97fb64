"""Stage `recipe`: which way a part lies on its wall, in a drawing of a few lines: a liner, or a casing flat on it.

Plies are always strips that bend over their flat face, so that their thicknesses add up outward from the opening and
their width lies along the form's layers. What a joiner calls the part's width is therefore `depth` in a liner and
`thickness` in a casing: nobody bends a board the hard way, over its edge.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

Lies = Literal["liner", "casing"]

#: The wall cut through at the crown, and the part's plies seen from their end.
DRAWINGS: Mapping[Lies, str] = {
    "liner": """\
     ############
     ############ wall, cut through at the crown
     ============ thickness: all plies together
     ============
     |<- depth->|
       opening""",
    "casing": """\
     ############==
     ############== thickness: across its face,
     ############== all plies together
     ############==
                |  |<- depth: off the wall
       opening""",
}
#: What each is, in a line.
CALLED: Mapping[Lies, str] = {
    "liner": "lines the opening, across the wall: a jamb, a reveal",
    "casing": "lies flat on the wall round the opening: an architrave, a trim",
}
#: What `depth` and `thickness` are in each, as they are asked for.
DEPTH: Mapping[Lies, str] = {
    "liner": "Depth across the wall, finished",
    "casing": "How far it stands off the wall (depth)",
}
THICKNESS: Mapping[Lies, str] = {
    "liner": "Thickness of the part, all plies together",
    "casing": "Width of its face (thickness: all plies together)",
}
