"""What is said of the woods: figures that nobody looked up, and what oily and acetylated woods ask of a glue."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from formgen.findings import Finding, Severity
from formgen.laminate.plies import Laminate
from formgen.recipe import catalogue

Laminated = Callable[..., Laminate]
ARCH = "{kind: quarter, radius: 900}"


def _said(laminate: Laminate, code: str) -> list[Finding]:
    return [found for found in laminate.findings if found.code == f"laminate.{code}"]


@pytest.mark.parametrize(
    ("wood", "glue", "says"),
    [
        ("white ash", "PVA", None),
        ("European oak", "PVA", None),  # by the rule of the table, from shrinkage that is published
        ("coast redwood", "", "stiffness and strength are from memory"),
        ("coast redwood", "PVA", "stiffness, strength and swelling are from memory"),
        ("coast redwood", "epoxy", "stiffness, strength and swelling are from memory"),
        ("yellow-poplar", "", None),  # nothing rests on its swelling while no glue is named
        ("yellow-poplar", "PVA", "swelling is from memory"),
    ],
)
def test_figures_from_memory_are_said_where_they_count(
    laminated: Laminated, wood: str, glue: str, says: str | None
) -> None:
    named = f", adhesive: {glue}" if glue else ""
    found = _said(laminated(ARCH, f"wood: {wood}, thickness: 12, plies: 6{named}"), "wood-from-memory")
    assert [f.message.split(": ", 1)[1].startswith(says or "") for f in found] == ([True] if says else [])
    assert all(f.severity is Severity.NOTE for f in found)


def test_a_wood_is_said_once_and_a_shops_own_figure_is_from_no_memory(laminated: Laminated) -> None:
    plies = "plies: [{count: 4, thickness: 3, wood: coast redwood}, {count: 2, thickness: 3, wood: white ash}]"
    assert len(_said(laminated(ARCH, plies), "wood-from-memory")) == 1
    own = "woods: {coast redwood: {modulus: 9 GPa, strength: 60 MPa}}"
    assert not _said(laminated(ARCH, plies, shop=own), "wood-from-memory")


def test_an_oily_wood_says_what_it_asks_of_a_glue_up(laminated: Laminated) -> None:
    (found,) = _said(laminated(ARCH, "wood: iroko, thickness: 12, plies: 6, adhesive: PVA"), "wood-glue")
    assert found.severity is Severity.NOTE
    assert "acetone" in found.message
    assert "Table 10-1" in found.source  # Wood Handbook: iroko stands among the woods that bond well
    assert found.steps == ("glue",)
    assert not _said(laminated(ARCH, "wood: utile, thickness: 12, plies: 6, adhesive: PVA"), "wood-glue")


@pytest.mark.parametrize(
    ("glue", "severity"),
    [
        ("resorcinol formaldehyde", Severity.NOTE),  # Polymers 2017, 9(12), 731: held on acetylated wood
        ("epoxy", Severity.NOTE),
        ("our epoxy", Severity.NOTE),
        ("polyvinyl acetate", Severity.WARNING),
        ("our white", Severity.WARNING),
        ("", Severity.NOTE),
    ],
)
def test_acetylated_wood_warns_of_a_glue_that_was_not_found_to_hold(
    laminated: Laminated, glue: str, severity: Severity
) -> None:
    shop = "adhesives: {our epoxy: {like: epoxy}, our white: {like: PVA}}"
    named = f", adhesive: {glue}" if glue else ""
    ask = f"wood: acetylated pine, thickness: 12, plies: 6{named}"
    (found,) = _said(laminated(ARCH, ask, shop=shop), "wood-glue")
    assert found.severity is severity
    assert ("is not among them" in found.message) == (severity is Severity.WARNING)


def test_the_strain_limit_names_the_woods_own_source(laminated: Laminated) -> None:
    for wood in ("white ash", "European ash"):
        (found,) = _said(laminated(ARCH, f"wood: {wood}, thickness: 60, plies: 4"), "ply-strain")
        assert catalogue.woods()[wood].source in found.source
