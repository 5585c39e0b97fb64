"""Stage `curve`: the one list of what a tape reads on a finished part, in the order in which it is read and asked for.

In: the part's `Ordinates`. Out: readings: spans, from the feet up, then the rise, then the ordinates; mm. The gauge
page, the press-day sheet and the log take their readings from here, in this order.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from formgen.curve.ordinates import Across, Height, Ordinates, face_of
from formgen.fixed import fixed

Name = Literal["span", "rise", "ordinate"]
TapeFace = Literal["inside", "outside"]
When = Literal["at release", "next day"]

#: Spans and the rise are read twice, since most of what still moves does so on the first day; ordinates once.
TWICE: tuple[When, ...] = ("at release", "next day")
ONCE: tuple[When, ...] = ("next day",)
#: Distances from the farthest face of less than this are alike (decimals of mm).
_DECIMALS = 6
#: A station this near to the middle is the middle (mm).
_MIDDLE_MM = 1e-6


@fixed
class Reading:
    """One length to read.

    Args:
        name: a `span` is a distance across, from face to face; the `rise` is the height of the face over the base line
            at the station where it is farthest from it; an `ordinate` is the height at any station.
        face: the face that it is read on.
        place: where: a span at the `feet` or `ends` (both lie on the trim lines) or the `springing line`; a rise or an
            ordinate at the `middle` or a `station` with its number.
        height_mm: of a span: how high over the base line it is read, negative below; else None.
        from_a_mm: of a rise or an ordinate: how far from A along the base line; else None.
        number: of the ordinate's station, from 1 at A; 0 for the others.
        wanted_mm: what the tape should find; negative where the face lies below the base line.
        within_mm: how far off it may be; infinite where the face stands too steep to be read so.
        when: at which times it is read.
    """

    name: Name
    face: TapeFace
    place: str
    height_mm: float | None = None
    from_a_mm: float | None = None
    number: int = 0
    wanted_mm: float
    within_mm: float
    when: tuple[When, ...]


def readings(found: Ordinates) -> tuple[Reading, ...]:
    """All readings of a part, in order."""
    return (*_spans(found), *_rise(found), *_ordinates(found))


def measured_rise_mm(found: Ordinates) -> float:
    """Height of the measured face over the base line where it is farthest from it; negative below the line."""
    offset = {"inside": 0.5, "centre": 0.0, "outside": -0.5}[found.measured_on] * found.thickness_mm
    on_legs = found.base == "springing line"
    face = face_of(found.centre.part(*found.springing_mm), offset, (0.0, 0.0) if on_legs else found.mitre_rad)
    _, low, _, high = face.bounds
    return high if high >= -low else low


def _spans(found: Ordinates) -> Iterable[Reading]:
    """Across the feet, then across the springing line where that lies higher."""
    for across in reversed(found.across):
        faces: tuple[tuple[TapeFace, float], ...] = (("inside", across.inside_mm), ("outside", across.outside_mm))
        for face, wanted in faces:
            yield Reading(
                name="span",
                face=face,
                place=_place(across, found),
                height_mm=_height_mm(across, found),
                wanted_mm=wanted,
                within_mm=found.tolerance_mm,
                when=TWICE,
            )


def _place(across: Across, found: Ordinates) -> str:
    if across.where == "springing line":
        return "springing line" if len(found.across) > 1 else "feet"
    return "feet" if across.where == "ends of the legs" else "ends"


def _height_mm(across: Across, found: Ordinates) -> float:
    """Find how high a span is read: the middle between its two ends."""
    if across.where == "springing line":
        return 0.0
    return (found.centre.start.y_mm + found.centre.end.y_mm) / 2.0


def _rise(found: Ordinates) -> Iterable[Reading]:
    """On the measured face, the inside where the centre line was measured, at the station farthest from the base."""
    face: TapeFace = "outside" if found.measured_on == "outside" else "inside"
    rows = [(row, at) for row in found.rows if (at := row.outside if face == "outside" else row.inside) is not None]
    if not rows:
        return
    half = found.span_mm / 2.0
    row, at = max(rows, key=lambda pair: (round(abs(pair[1].height_mm), _DECIMALS), -abs(pair[0].from_a_mm - half)))
    middle = abs(row.from_a_mm - half) < _MIDDLE_MM
    yield Reading(
        name="rise",
        face=face,
        place="middle" if middle else f"station {found.rows.index(row) + 1}",
        from_a_mm=row.from_a_mm,
        wanted_mm=at.height_mm,
        within_mm=at.play_mm,
        when=TWICE,
    )


def _ordinates(found: Ordinates) -> Iterable[Reading]:
    """Both faces at every station that they reach."""
    for number, row in enumerate(found.rows, start=1):
        faces: tuple[tuple[TapeFace, Height | None], ...] = (("inside", row.inside), ("outside", row.outside))
        for face, height in faces:
            if height is not None:
                yield Reading(
                    name="ordinate",
                    face=face,
                    place=f"station {number}",
                    from_a_mm=row.from_a_mm,
                    number=number,
                    wanted_mm=height.height_mm,
                    within_mm=height.play_mm,
                    when=ONCE,
                )
