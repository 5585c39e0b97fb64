"""Stage `outputs`: the stack as a STEP file (ISO 10303-21, AP214), for whoever opens it in a solid modeller.

In: a `Stack`. Out: one file in mm, one named instance for each piece. Bytes depend on the form and the kernel's
version only: what the kernel takes from the clock, from a counter or from the order of memory is written anew.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from formgen.errors import ExportError
from formgen.form.solid import alike, form_assembly
from formgen.form.solid_kernel import load_cadquery
from formgen.form.stack import Stack

#: The time stamp that every file carries; the format demands one.
TIME_STAMP = "2000-01-01T00:00:00"

_ENTITY = re.compile(r"#(\d+) ?= ?(.*)", re.DOTALL)
_STYLE_ITEM = re.compile(r".*#(\d+)\),#(\d+)\)")
_STYLED = re.compile(r"STYLED_ITEM\('color',\(#(\d+)\),#(\d+)\)")
_LAST_REFERENCE = re.compile(r".*#(\d+)")
#: Numbers below 1e-12, which are nothing in mm and as parts of a direction, and nothing with a sign.
_NOTHING = re.compile(r"-?\d+\.\d*E-(?:1[3-9]|[2-9]\d|\d{3})|-0\.(?=[,)])")
_STYLE = "MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION("


def write_step(stack: Stack, path: Path) -> None:
    """Write the stack's assembly.

    Raises:
        ExportError: the kernel could not write the file.
    """
    load_cadquery()
    from cadquery.occ_impl.assembly import toCAF
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.Interface import Interface_Static
    from OCP.STEPCAFControl import STEPCAFControl_Writer
    from OCP.STEPControl import STEPControl_StepModelType
    from OCP.XSControl import XSControl_WorkSession

    _, document = toCAF(form_assembly(stack), coloredSTEP=True)
    writer = STEPCAFControl_Writer(XSControl_WorkSession(), False)  # noqa: FBT003 - the kernel takes no keywords
    writer.SetColorMode(True)  # noqa: FBT003
    writer.SetNameMode(True)  # noqa: FBT003
    Interface_Static.SetIVal_s("write.surfacecurve.mode", 0)  # curves on surfaces double the file and add nothing
    Interface_Static.SetCVal_s("xstep.cascade.unit", "MM")
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    writer.Transfer(document, STEPControl_StepModelType.STEPControl_AsIs)
    if writer.Write(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise ExportError(f"{path.name}: the solid kernel could not write the file; is the disk full or read-only?")
    text = path.read_text(encoding="ascii")
    parts = {group[0]: " ".join(group) for group in alike(stack)}
    path.write_text(steady(text, stack.name, parts), encoding="ascii", newline="\n")


def steady(text: str, name: str, parts: Mapping[str, str]) -> str:
    """The same file with a fixed time stamp, occurrences counted from 1 and colours in the order of the solids.

    The kernel's zeros differ from run to run too, by some 1e-29: they become plain zeros.

    Args:
        text: a Part 21 file as the kernel writes it.
        name: name of the form, for the header.
        parts: a solid's name as the kernel wrote it (its first instance's) to the name it gets: all its instances'.
    """
    header, data = text.split("DATA;\n", 1)
    data, end = data.rsplit("ENDSEC;", 1)
    header = re.sub(
        r"FILE_NAME\(.*?\);",
        f"FILE_NAME('{name}','{TIME_STAMP}',(''),(''),'Open CASCADE','formgen','');",
        header,
        count=1,
        flags=re.DOTALL,
    )
    statements = _NOTHING.sub("0.", data).split(";\n")[:-1]
    first_style = next((i for i, s in enumerate(statements) if _STYLE in s), len(statements))
    occurrence = 0
    for i, statement in enumerate(statements[:first_style]):
        if "= NEXT_ASSEMBLY_USAGE_OCCURRENCE(" in statement:
            occurrence += 1
            # where the kernel breaks the line depends on how many digits its own counter has by now
            statements[i] = re.sub(r"\('\d+'", f"('{occurrence}'", re.sub(r"\n *", "", statement), count=1)
        elif "= PRODUCT('" in statement:
            statements[i] = re.sub(r"PRODUCT\('([^']*)','\1'", lambda m: _product(m, parts), statement, count=1)
    body = statements[:first_style] + _styles(statements[first_style:])
    return f"{header}DATA;\n" + "".join(f"{s};\n" for s in body) + f"ENDSEC;{end}"


def _product(match: re.Match[str], parts: Mapping[str, str]) -> str:
    name = parts.get(match[1], match[1])
    return f"PRODUCT('{name}','{name}'"


def _styles(statements: list[str]) -> list[str]:
    """The colour block in the order of the items that it colours, each colour written once."""
    entities: dict[int, str] = {}
    for statement in statements:
        number, what = _matched(_ENTITY, statement).groups()
        entities[int(number)] = "".join(what.split())
    if not entities:
        return []
    styled = []
    for what in entities.values():
        if what.startswith(_STYLE):
            item, context = (int(n) for n in _matched(_STYLE_ITEM, what).groups())
            style, target = _matched(_STYLED, entities[item]).groups()
            styled.append((int(target), context, _colour(entities, int(style))))
    styled.sort()
    at = min(entities)
    out: list[str] = []
    heads: dict[str, int] = {}
    for target, context, colour in styled:
        if colour not in heads:
            heads[colour] = at
            out += [
                f"#{at} = PRESENTATION_STYLE_ASSIGNMENT((#{at + 1}))",
                f"#{at + 1} = SURFACE_STYLE_USAGE(.BOTH.,#{at + 2})",
                f"#{at + 2} = SURFACE_SIDE_STYLE('',(#{at + 3}))",
                f"#{at + 3} = SURFACE_STYLE_FILL_AREA(#{at + 4})",
                f"#{at + 4} = FILL_AREA_STYLE('',(#{at + 5}))",
                f"#{at + 5} = FILL_AREA_STYLE_COLOUR('',#{at + 6})",
                f"#{at + 6} = {colour}",
            ]
            at += 7
        out += [
            f"#{at} = STYLED_ITEM('color',(#{heads[colour]}),#{target})",
            f"#{at + 1} = {_STYLE}'',(#{at}),#{context})",
        ]
        at += 2
    return out


def _colour(entities: Mapping[int, str], number: int) -> str:
    """The colour at the end of the chain of style entities that begins at a number."""
    what = entities[number]
    if "COLOUR_RGB" in what:
        return what
    return _colour(entities, int(_matched(_LAST_REFERENCE, what)[1]))


def _matched(pattern: re.Pattern[str], text: str) -> re.Match[str]:
    match = pattern.match(text)
    if match is None:
        raise ExportError(
            f"STEP: the solid kernel wrote {text[:80]!r}, which this version of formgen does not know; "
            "install a version of cadquery that pyproject.toml names, or report the recipe"
        )
    return match
