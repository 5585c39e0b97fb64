"""Findings: what somebody must know although the job goes on, gathered through all stages.

A finding states the number, the limit it was held against and where that limit comes from.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from typing import Any

from formgen.fixed import fixed


class Severity(StrEnum):
    """The weight of a finding, lightest first."""

    NOTE = "note"
    WARNING = "warning"
    PROBLEM = "problem"


@fixed
class Finding:
    """One thing to know before the wood is cut.

    Args:
        code: stable name, stage first: `laminate.ply-strain`, `form.relief-moved`.
        severity: NOTE (good to know), WARNING (think first), PROBLEM (the part is likely to fail).
        message: one sentence in shop words, with the remedy.
        value: the number found, in `unit`; None where the finding is not about a number.
        limit: the number it was held against, in `unit`; None where there is none.
        unit: unit of value and limit, `""` for ratios.
        source: where the limit comes from: a standard, handbook table, `common practice`, the shop file.
        steps: keys of the steps of the press day before which it stands; none where the day has no step for it.
    """

    code: str
    severity: Severity
    message: str
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    source: str = ""
    steps: tuple[str, ...] = ()

    @classmethod
    def held(cls, record: Mapping[str, Any]) -> Finding:
        """The finding that a record holds."""
        known = {"severity": Severity(record["severity"]), "steps": tuple(record.get("steps", ()))}
        return cls(**{**record, **known})
