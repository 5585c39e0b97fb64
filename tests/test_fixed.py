"""Values of fixed fields behave as the standard library's frozen dataclasses do."""

from __future__ import annotations

from dataclasses import dataclass, field, make_dataclass, replace

import pytest

from formgen.fixed import fixed


@fixed
class Board:
    """A board."""

    thickness_mm: float
    names: tuple[str, ...] = ()
    read_at: int = field(default=0, compare=False, repr=False)


@dataclass(frozen=True, kw_only=True)
class Frozen:
    """The same by the standard library."""

    thickness_mm: float
    names: tuple[str, ...] = ()
    read_at: int = field(default=0, compare=False, repr=False)


MADE = [
    {"thickness_mm": 18.0},
    {"thickness_mm": 18.0, "read_at": 3},
    {"thickness_mm": 18.0, "names": ("mdf",)},
    {"thickness_mm": 25.0, "names": ("mdf",)},
]


@pytest.mark.parametrize("one", MADE)
def test_equal_and_of_one_hash_as_frozen_ones(one: dict[str, object]) -> None:
    for other in MADE:
        assert (Board(**one) == Board(**other)) == (Frozen(**one) == Frozen(**other))  # type: ignore[arg-type]
        assert len({Board(**one), Board(**other)}) == len({Frozen(**one), Frozen(**other)})  # type: ignore[arg-type]
    assert repr(Board(**one)).removeprefix("Board") == repr(Frozen(**one)).removeprefix("Frozen")  # type: ignore[arg-type]


def test_of_another_class_is_never_equal() -> None:
    other = fixed(make_dataclass("Other", [("thickness_mm", float)]))
    assert Board(thickness_mm=18.0) != other(thickness_mm=18.0)
    assert Board(thickness_mm=18.0) != 18.0


def test_fields_go_by_name_and_are_replaced() -> None:
    assert replace(Board(thickness_mm=18.0), thickness_mm=25.0) == Board(thickness_mm=25.0)
    with pytest.raises(TypeError):
        Board(18.0)  # type: ignore[misc]
    with pytest.raises(TypeError, match="thickness_mm"):
        Board()  # type: ignore[call-arg]


def test_its_own_way_of_comparing_is_kept() -> None:
    @fixed
    class Alike:
        """Any two are the same."""

        number: int

        def __eq__(self, other: object) -> bool:
            return isinstance(other, Alike)

        def __hash__(self) -> int:
            return 1

    assert Alike(number=1) == Alike(number=2)
