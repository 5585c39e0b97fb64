"""Drawings as a machine or a person might leave them, by class: DXF text by hand, group code and value by turns.

Reference: DXF Reference (Autodesk, public): ENTITIES section, LINE, ARC, LWPOLYLINE, POLYLINE, ELLIPSE, SPLINE.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

Pairs = Iterable[tuple[int, object]]


def dxf(*entities: Pairs, units: object = 4, version: str = "AC1015", tail: str = "0\nEOF\n") -> str:
    """A drawing with these entities in its model space."""
    header = [
        (0, "SECTION"),
        (2, "HEADER"),
        (9, "$ACADVER"),
        (1, version),
        (9, "$INSUNITS"),
        (70, units),
        (0, "ENDSEC"),
    ]
    body = [(0, "SECTION"), (2, "ENTITIES"), *(pair for entity in entities for pair in entity), (0, "ENDSEC")]
    return "".join(f"{code}\n{value}\n" for code, value in (*header, *body)) + tail


def line(x0: object, y0: object, x1: object, y1: object, layer: str = "0", z: object = 0) -> Pairs:
    return [(0, "LINE"), (8, layer), (10, x0), (20, y0), (30, z), (11, x1), (21, y1), (31, z)]


def arc(radius: object, begin: object, end: object, x: object = 0, y: object = 0) -> Pairs:
    return [(0, "ARC"), (8, "0"), (10, x), (20, y), (30, 0), (40, radius), (50, begin), (51, end)]


def polyline(points: Iterable[tuple[object, object, object]], closed: int = 0) -> Pairs:
    held = list(points)
    corners = [pair for x, y, bulge in held for pair in ((10, x), (20, y), (42, bulge))]
    return [
        (0, "LWPOLYLINE"),
        (100, "AcDbEntity"),
        (8, "0"),
        (100, "AcDbPolyline"),
        (90, len(held)),
        (70, closed),
        *corners,
    ]


def ellipse(major: tuple[object, object], ratio: object, begin: object, end: object) -> Pairs:
    return [
        (0, "ELLIPSE"),
        (100, "AcDbEntity"),
        (8, "0"),
        (100, "AcDbEllipse"),
        (10, 0),
        (20, 0),
        (30, 0),
        (11, major[0]),
        (21, major[1]),
        (31, 0),
        (40, ratio),
        (41, begin),
        (42, end),
    ]


def spline(degree: object, knots: Iterable[object], points: Iterable[tuple[object, object]], flags: int = 0) -> Pairs:
    k, p = list(knots), list(points)
    head = [(0, "SPLINE"), (100, "AcDbEntity"), (8, "0"), (100, "AcDbSpline"), (70, flags), (71, degree)]
    counts = [(72, len(k)), (73, len(p)), (74, 0)]
    return [*head, *counts, *((40, v) for v in k), *(pair for x, y in p for pair in ((10, x), (20, y), (30, 0)))]


GOOD = dxf(arc(450, 10, 170))
_CORNERS = [(500, 0, 0.5), (-500, 0, 0)]
_KNOTS = [0, 0, 0, 0, 1, 1, 1, 1]
_POLES = [(500, 0), (400, 300), (-400, 300), (-500, 0)]
_ODD = (
    "nan",
    "inf",
    "-inf",
    "1e308",
    "-1e308",
    "1e400",
    "5e-324",
    "0",
    "-0",
    "",
    "x",
    "1,5",
    "1" * 400,
    "0x10",
    "\u202e1",
)


def _waves(count: int) -> Pairs:
    """A spline of degree 3 that goes up and down."""
    knots = [0] * 4 + list(range(1, count - 3)) + [count - 3] * 4
    return spline(3, knots, [(1000 - 2000 * i / count, 5 * (i % 2)) for i in range(count)])


def odd_numbers() -> Mapping[str, str]:
    """One number of each kind of entity replaced by what no pen draws."""
    found = {}
    for odd in _ODD:
        name = odd[:9].encode("ascii", "backslashreplace").decode() or "nothing"
        found |= {
            f"line end {name}": dxf(line(odd, 0, -500, 0), arc(500, 0, 90)),
            f"arc radius {name}": dxf(arc(odd, 10, 170)),
            f"arc angle {name}": dxf(arc(450, odd, 170)),
            f"arc centre {name}": dxf(arc(450, 10, 170, odd, 0)),
            f"polyline corner {name}": dxf(polyline([(odd, 0, 0.5), (-500, 0, 0)])),
            f"bulge {name}": dxf(polyline([(500, 0, odd), (-500, 0, 0)])),
            f"ellipse ratio {name}": dxf(ellipse((500, 0), odd, 0.1, 3)),
            f"ellipse axis {name}": dxf(ellipse((odd, 0), 0.5, 0.1, 3)),
            f"ellipse end {name}": dxf(ellipse((500, 0), 0.5, 0.1, odd)),
            f"spline degree {name}": dxf(spline(odd, _KNOTS, _POLES)),
            f"spline knot {name}": dxf(spline(3, [0, 0, 0, 0, odd, 1, 1, 1], _POLES)),
            f"spline pole {name}": dxf(spline(3, _KNOTS, [(500, 0), (odd, 300), (-400, 300), (-500, 0)])),
            f"height {name}": dxf(line(500, 0, -500, 1, z=odd)),
            f"units {name}": dxf(arc(450, 10, 170), units=odd),
        }
    return found


def paths() -> Mapping[str, str]:
    """Paths that are open where they should not be, closed, crossed, doubled, cornered or bent out of the plane."""
    return {
        "nothing": dxf(),
        "a gap": dxf(arc(450, 10, 90), arc(450, 91, 170)),
        "two paths": dxf(arc(450, 10, 170), arc(900, 10, 170)),
        "drawn twice": dxf(arc(450, 10, 170), arc(450, 10, 170)),
        "a branch": dxf(arc(450, 10, 90), arc(450, 90, 170), line(0, 450, -300, 450)),
        "a corner": dxf(line(500, 0, 0, 500), line(0, 500, -500, 0)),
        "there and back": dxf(line(500, 0, 0, 0), line(0, 0, 500, 0.001)),
        "a closed polyline": dxf(polyline(_CORNERS, closed=1)),
        "a closed path": dxf(arc(450, 0, 180), arc(450, 180, 360)),
        "a circle": dxf([(0, "CIRCLE"), (8, "0"), (10, 0), (20, 0), (40, 450)]),
        "a whole turn": dxf(arc(450, 0, 360)),
        "crosses itself": dxf(spline(3, _KNOTS, [(-200, 0), (900, 800), (-900, 800), (200, 0)])),
        "crosses by a line": dxf(line(300, 0, 300.0, 300), arc(200, 0, 270, 100, 300), line(100, 100, 900, 100)),
        "straight": dxf(line(500, 0, -500, 0)),
        "no length": dxf(line(0, 0, 0, 0)),
        "one corner": dxf(polyline([(500, 0, 0.5)])),
        "no corners": dxf(polyline([])),
        "corners in one place": dxf(polyline([(500, 0, 0.5)] * 20)),
        "a hair's length": dxf(line(0, 0, 1e-7, 0), arc(450, 10, 170)),
        "not flat": dxf(line(500, 0, 0, 0, z=5), arc(450, 10, 170)),
        "seen edge on": dxf([*arc(450, 10, 170), (210, 1), (220, 0), (230, 0)]),
        "no direction": dxf([*arc(450, 10, 170), (210, 0), (220, 0), (230, 0)]),
        "from behind": dxf([*arc(450, 10, 170), (210, 0), (220, 0), (230, -1)]),
        "a text": dxf([(0, "TEXT"), (8, "0"), (10, 0), (20, 0), (40, 5), (1, "x")]),
        "a block": dxf([(0, "INSERT"), (8, "0"), (2, "NONE"), (10, 0), (20, 0)]),
        "an unknown entity": dxf([(0, "WORMHOLE"), (8, "0")]),
        "knots backwards": dxf(spline(3, [1, 1, 1, 1, 0, 0, 0, 0], _POLES)),
        "too few knots": dxf(spline(3, [0, 0, 1, 1], _POLES)),
        "no poles": dxf(spline(3, _KNOTS, [])),
        "poles in one place": dxf(spline(3, _KNOTS, [(5, 5)] * 4)),
        "degree past its poles": dxf(spline(11, [0] * 12 + [1] * 12, _POLES)),
        "a spline with a cusp": dxf(spline(3, _KNOTS, [(-500, 0), (500, 900), (-500, 900), (500, 0)])),
        "a wild polyline": dxf(polyline([((i * 7919) % 1000, (i * 104729) % 1000, (i % 7) - 3) for i in range(300)])),
        "fine chords": dxf(polyline([(500 - i, (i * (1000 - i)) / 1000, 0) for i in range(1001)])),
        "layer names": dxf(line(0, 0, 1, 0, "a\u202eb"), line(5, 5, 9, 9, "\x07bell"), line(8, 1, 7, 7, "L" * 3000)),
        "very large": dxf(arc(4.5e9, 10, 170)),
        "metres for millimetres": dxf(arc(450, 10, 170), units=6),
        "an ellipse of miles": dxf(ellipse((1e8, 0), 0.5, 0.1, 3)),
        "a spline of miles": dxf(spline(3, _KNOTS, [(1e6 * x, 1e6 * y) for x, y in _POLES])),
        "a spline of ten thousand waves": dxf(_waves(20_000)),
        "very small": dxf(arc(4.5e-6, 10, 170)),
        "far away": dxf(arc(450, 10, 170, 1e9, 1e9)),
        "a thousand turns": dxf(polyline([(x, 0, (-1) ** i * 1.0) for i, x in enumerate(range(1000, 0, -1))])),
    }


def files() -> Mapping[str, bytes]:
    """Files that are no drawing, or only some of one."""
    good = GOOD.encode()
    return {
        "empty": b"",
        "one zero byte": b"\0",
        "a text": b"This is the drawing you asked for.\n",
        "a DWG": b"AC1032" + bytes(200),
        "a binary DXF, cut": b"AutoCAD Binary DXF\r\n\x1a\x00" + bytes(50),
        "a PDF": b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n",
        "a ZIP": b"PK\x03\x04" + bytes(60),
        "random": bytes((i * 7919) % 256 for i in range(4000)),
        "UTF-16": GOOD.encode("utf-16"),
        "with a mark": b"\xef\xbb\xbf" + good,
        "CR LF": good.replace(b"\n", b"\r\n"),
        "CR": good.replace(b"\n", b"\r"),
        "cut in the header": good[:60],
        "cut in an entity": good[: len(good) - 40],
        "no end": dxf(arc(450, 10, 170), tail="").encode(),
        "codes that are words": good.replace(b"\n10\n", b"\nten\n"),
        "huge code": good.replace(b"\n10\n", b"\n" + b"9" * 400 + b"\n"),
        "negative code": good.replace(b"\n40\n", b"\n-40\n"),
        "one line too many": b"999\n" + good[5:],
        "old version": dxf(arc(450, 10, 170), version="AC1001").encode(),
        "no such version": dxf(arc(450, 10, 170), version="\u202eAC").encode(),
        "code page": GOOD.replace("9\n$INSUNITS", "9\n$DWGCODEPAGE\n3\nklingon\n9\n$INSUNITS").encode(),
        "sections in sections": b"0\nSECTION\n2\nENTITIES\n" * 500 + b"0\nEOF\n",
        "ends only": b"0\nENDSEC\n" * 500 + b"0\nEOF\n",
        "a million entities": many(1_000_000),
        "as many entities as fit": many(12_000),
        "as many rays from one point as fit": many(12_000, lambda i: f"{9 + 0.01 * i:.2f}"),
    }


def many(count: int, at: Callable[[int], str] = lambda _: "9") -> bytes:
    """So many short lines from one point, each of the fewest bytes, to the x that is given for its number."""
    return (
        dxf(tail="").encode().replace(b"0\nENDSEC\n", b"", 0)[: -len("0\nENDSEC\n")]
        + "".join(f"0\nLINE\n8\n0\n10\n0\n20\n0\n11\n{at(i)}\n21\n9\n" for i in range(count)).encode()
        + b"0\nENDSEC\n0\nEOF\n"
    )
