"""Stage `outputs`: what the kernel's process is asked to do: write the solids and read them again.

In: a `Stack` and a path. Out: one line for each difference. It imports little: a build waits for it.
"""

from __future__ import annotations

from pathlib import Path

from formgen.form.stack import Stack


def written_and_read(stack: Stack, path: Path) -> list[str]:
    """Write the STEP file of a stack and read it again."""
    from formgen.outputs.step.check import check_step
    from formgen.outputs.step.writer import write_step

    write_step(stack, path)
    return list(check_step(path, stack))
