"""Findings: all that the program may have to say of a job that goes on, and how it is written for the shop.

Begin at `data`, one file for each stage: a code with its severity, title, sentence, what to do and source.
`registry` holds what a finding is and reads a row, `wording` puts numbers into its words. In: a code, the recipe's
units, values in mm, N, kPa, MPa, rad or plain numbers. Out: a `Finding`. It judges nothing: which code holds, in which
case, the stage says.
"""

from formgen.findings.registry import Finding, Severity
from formgen.findings.wording import finding, phrase

__all__ = ["Finding", "Severity", "finding", "phrase"]
