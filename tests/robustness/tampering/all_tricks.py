"""All tricks, in one list."""

from __future__ import annotations

from tests.robustness.tampering.folders import FOLDERS
from tests.robustness.tampering.kit import Trick
from tests.robustness.tampering.layers import LAYERS
from tests.robustness.tampering.others import FILES
from tests.robustness.tampering.records import RECORDS

TRICKS: tuple[Trick, ...] = (*RECORDS, *FOLDERS, *LAYERS, *FILES)
