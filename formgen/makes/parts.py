"""Stage `makes`: the stage itself, from the pressing of a form to the parts that come off it.

In: a Pressing, whose recipe names the openings where there are several. Out: one `Made` for each opening, in their
order; mm. Last the trim lines that are drawn on the form: both ends of each part, those of several openings by name.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from formgen.curve.deviation import fitted_deviation_mm
from formgen.curve.ordinates import face_of, ordinates
from formgen.curve.readings import measured_rise_mm, readings
from formgen.findings import Finding, Severity
from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline, same_place
from formgen.identity import part_id
from formgen.makes.model import Made, MeasuredFrom, Trim
from formgen.makes.on_form import Laid, as_made, laid_on, middle_mm
from formgen.press.setup import Pressing
from formgen.press.stage import pressing_of
from formgen.recipe.as_asked import part_code
from formgen.recipe.model import Recipe

#: A knot this near to the axis lies on it (mm).
ON_IT_MM = 1e-9
#: Lines nearer to each other than this are drawn as one: the width of a pencil (mm).
TOGETHER_MM = 0.5
#: Saw cuts whose lean differs by less are alike (rad): half a hundredth of a mm on 50.
_LEAN_RAD = 1e-4


def parts_made(form: Pressing) -> tuple[Made, ...]:
    """The parts that come off a form.

    Raises:
        FormgenError: an opening that cannot be made at all.
    """
    openings = form.recipe.openings
    if len(openings) == 1:
        arch = form.laminate.arch
        alone = Laid(made=arch.target, begin_mm=0.0, end_mm=form.laminate.pressed.length_mm)
        return (_made(openings[0], form, alone, form, gives_up_mm=0.0),)
    return tuple(_shared(opening, form) for opening in openings)


def _shared(opening: Recipe, form: Pressing) -> Made:
    """One of several openings."""
    own = pressing_of(opening)
    laid = laid_on(own, form)
    asked = own.laminate.arch.target
    gives_up = 0.0 if laid.made.pieces == asked.pieces else fitted_deviation_mm(asked, laid.made)
    return _made(opening, as_made(own, laid.made), laid, form, gives_up_mm=gives_up)


def _made(opening: Recipe, pressing: Pressing, laid: Laid, form: Pressing, *, gives_up_mm: float) -> Made:
    arch, part = pressing.arch, opening.asked.part
    found = ordinates(arch, max(part.tolerance_mm - gives_up_mm, 0.0))
    mark, count = opening.asked.name, opening.quantity * arch.copies
    return Made(
        mark=mark,
        ids=tuple(part_id(mark, copy=n) for n in range(1, count + 1)) if count > 1 else (part_id(mark),),
        code=part_code(opening),
        quantity=count,
        pressing=pressing,
        gives_up_mm=gives_up_mm,
        span_mm=found.span_mm,
        rise_mm=measured_rise_mm(found),
        measured_on=part.measured_on,
        ends_mm=(laid.begin_mm, laid.end_mm),
        trim=_trim(pressing, laid, form),
        ply_lengths_mm=tuple(ply.length_mm for ply in pressing.laminate.plies),
        gauge=found,
        readings=readings(found),
        findings=() if pressing is form else tuple(_own_findings(mark, pressing, form)),
    )


def _trim(pressing: Pressing, laid: Laid, form: Pressing) -> Trim:
    """Both trim lines from the form's centre line, or from one of its trim lines where it has none."""
    pressed, face = form.laminate.pressed, form.face
    begin, end = (same_place(pressed, face, station) for station in (laid.begin_mm, laid.end_mm))
    right, left = _past_at_face_mm(pressing, form)
    from_line, on_centre, on_face = _line(form)
    return Trim(
        measured_from=from_line,
        form_face_mm=(on_face - begin + right, end + left - on_face),
        centre_line_mm=(on_centre - laid.begin_mm, laid.end_mm - on_centre),
    )


def _line(form: Pressing) -> tuple[MeasuredFrom, float, float]:
    """The line's name, its station on the pressed centre line and on the form's face."""
    laminate, face = form.laminate, form.face
    pressed = laminate.pressed
    half = middle_mm(laminate.arch, laminate.springing_mm)
    middle = same_place(pressed, face, half)
    if laminate.arch.two_legged:
        return "centre line", _at_axis(pressed, half), _at_axis(face, middle)
    if has_middle_mark(form):
        return "centre line", half, middle
    right, left = _past_at_face_mm(form, form)
    if laminate.arch.copies > 1:
        return "form's left trim line", pressed.length_mm, face.length_mm + left
    return "form's right trim line", 0.0, -right


def has_middle_mark(form: Pressing) -> bool:
    """Tell whether a form without two legs has a centre line all the same: where openings lie on it middle on middle.

    It is drawn square to the face, midway between the springing points.
    """
    arch = form.laminate.arch
    return len(arch.recipe.makes) > 1 and arch.copies == 1 and not arch.two_legged


def _at_axis(curve: ArcSpline, near_mm: float) -> float:
    """The station nearest to another at which a curve passes the form's upright axis."""
    upright = curve.moved(0.0, 0.0, math.pi / 2.0)  # its heights are now the curve's x
    knots = [float(s) for s, pose in zip(curve.stations_mm, curve.knots, strict=True) if abs(pose.x_mm) < ON_IT_MM]
    return min([*upright.at_height(0.0), *knots], key=lambda s: abs(s - near_mm))


def _past_at_face_mm(pressing: Pressing, form: Pressing) -> tuple[float, float]:
    """Find how much farther out the saw cut at each end crosses the form's face than the centre line; 0 if square."""
    right, left = pressing.arch.mitre_rad
    pressed, offset = pressing.laminate.pressed, form.face_offset_mm
    square = face_of(pressed, offset, (0.0, 0.0)).length_mm
    return (
        face_of(pressed, offset, (right, 0.0)).length_mm - square if right else 0.0,
        face_of(pressed, offset, (0.0, left)).length_mm - square if left else 0.0,
    )


def _own_findings(mark: str, pressing: Pressing, form: Pressing) -> Iterable[Finding]:
    """Warnings and problems of this part on this form that the form's own part has not as badly."""
    grave = {Severity.WARNING: 1, Severity.PROBLEM: 2}
    known: dict[str, int] = {}
    for finding in (*form.laminate.findings, *form.findings):
        known[finding.code] = max(known.get(finding.code, 0), grave.get(finding.severity, 0))
    for finding in (*pressing.laminate.findings, *pressing.findings):
        if grave.get(finding.severity, 0) > known.get(finding.code, 0):
            yield replace(finding, message=f"{mark}: {finding.message}", title=f"{mark}: {finding.title}")


@fixed
class TrimLine:
    """One line.

    Args:
        station_mm: on the form's pressed centre line.
        lean_rad: how far the saw cut is turned from square, anticlockwise.
        marks: the openings whose parts end there; none where all parts do.
    """

    station_mm: float
    lean_rad: float
    marks: tuple[str, ...]


def trim_lines(makes: Sequence[Made]) -> tuple[TrimLine, ...]:
    """The lines from the right; of a form for one opening two, without a mark."""
    ends = [(end, mark) for part in makes for end, mark in zip(_ends(part), (part.mark, part.mark), strict=True)]
    ends.sort(key=lambda held: held[0])
    groups: list[list[tuple[tuple[float, float], str]]] = []
    for held in ends:
        first = groups[-1][0][0] if groups else None
        if first and held[0][0] - first[0] <= TOGETHER_MM and abs(held[0][1] - first[1]) <= _LEAN_RAD:
            groups[-1].append(held)
        else:
            groups.append([held])
    return tuple(
        TrimLine(
            station_mm=sum(end[0] for end, _ in group) / len(group),
            lean_rad=group[0][0][1],
            marks=() if len(group) == len(makes) else tuple(mark for _, mark in group),
        )
        for group in groups
    )


def _ends(part: Made) -> tuple[tuple[float, float], tuple[float, float]]:
    """Station and lean of the right and the left end."""
    right, left = part.pressing.arch.mitre_rad
    return (part.ends_mm[0], -right), (part.ends_mm[1], left)
