"""Values whose fields are given once, by name: dataclasses that cost the start of the program little.

In: a class with annotated fields. Out: the same as a dataclass. The standard library's frozen ones have six functions
written and compiled for every class, which took a seventh of a `check`; here that is `__init__` alone, and comparing,
hashing and showing are shared. That no field is set again, the type checker sees to.
"""

from __future__ import annotations

from dataclasses import Field, dataclass, field, fields
from operator import attrgetter
from typing import Any, TypeVar, dataclass_transform

T = TypeVar("T")


@dataclass_transform(frozen_default=True, kw_only_default=True, field_specifiers=(field, Field))
def fixed(cls: type[T]) -> type[T]:
    """A class decorator: fields by name, equal and of one hash where all fields that are compared are equal."""
    made: Any = dataclass(kw_only=True, eq=False, repr=False)(cls)
    compared = [f.name for f in fields(made) if f.compare]
    values = attrgetter(*compared) if compared else type

    def equal(self: object, other: object) -> bool:
        return values(self) == values(other) if type(self) is type(other) else NotImplemented

    for name, method in (("__eq__", equal), ("__hash__", lambda self: hash(values(self))), ("__repr__", _shown)):
        if name not in cls.__dict__:
            setattr(made, name, method)
    return cls


def _shown(self: Any) -> str:
    shown = (f"{f.name}={getattr(self, f.name)!r}" for f in fields(self) if f.repr)
    return f"{type(self).__qualname__}({', '.join(shown)})"
