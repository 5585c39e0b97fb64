"""Errors that stop a job: one tree of exceptions, each of which reads as one line for the shop.

Every message says what, where, what was got, what was expected and what to do. Children double as
built-ins, so that a library caller may catch `ValueError` and never hear of this module.
"""

from __future__ import annotations


class FormgenError(Exception):
    """Anything that this program refuses to do; `str(error)` is the line (or lines) for the user."""


class RecipeError(FormgenError, ValueError):
    """A recipe, shop file or catalogue entry that cannot be understood; one line for each mistake.

    Args:
        mistakes: one line each, as `file:line:column: key = got, expected; what to do`.
        aid: what a screen shows below them, such as all names of a kind; no part of the text.
    """

    def __init__(self, *mistakes: str, aid: str = "") -> None:
        super().__init__("\n".join(mistakes))
        self.mistakes = mistakes
        self.aid = aid


class LengthError(FormgenError, ValueError):
    """A text that is not a length, an angle or a pressure as the trade writes them.

    Args:
        expected: `expected …; what to do`.
        got: the text as typed, in quotes; empty where the caller names it.
    """

    def __init__(self, expected: str, got: str = "") -> None:
        super().__init__(f"{got}, {expected}" if got else expected)
        self.expected = expected


class CurveError(FormgenError, ValueError):
    """A curve that does not exist: no rise, a radius under half the span, an offset past its centre."""


class LaminateError(FormgenError, ValueError):
    """A stack of plies that cannot be made: no plies, a thickness that does not add up."""


class PressError(FormgenError, ValueError):
    """A pressing that cannot be set up: layers between part and form that turn the face inside out."""


class NoRestError(PressError):
    """Loose plies for which no shape at rest was found: no answer, and no reason to refuse the part."""


class FormError(FormgenError, ValueError):
    """A form that cannot be cut: a piece that fits no sheet, a feature with no room that was asked for."""


class VerdictError(FormgenError, ValueError):
    """A form on which the part must not be pressed: it will break, will not hold, or cannot be made as drawn."""


class SheetError(FormgenError, ValueError):
    """Pieces that cannot be laid out: one larger than every sheet, two forms of one name."""


class ExportError(FormgenError, OSError):
    """A file or folder that cannot be written."""


class VerifyError(FormgenError, ValueError):
    """Files on disk that differ from the model; one line for each difference."""

    def __init__(self, *differences: str) -> None:
        super().__init__("\n".join(differences))
        self.differences = differences
