"""The kernel's process: tasks come back in order, errors too, and it never outlives the program."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable
from multiprocessing import get_context
from pathlib import Path
from threading import Thread

import pytest

from formgen.errors import ExportError
from formgen.outputs.step.kernel import Kernel, begun, warm_kernel


def test_results_come_in_the_order_of_the_tasks_and_errors_are_raised_where_they_are_asked_for() -> None:
    with warm_kernel() as kernel:
        first, second, third = begun(kernel, pow, 2, 5), begun(kernel, int, "three"), begun(kernel, os.getpid)
        assert first() == 32
        with pytest.raises(ValueError, match="three"):
            second()
        assert (third() != os.getpid()) == (kernel is not None)


def test_a_dead_process_is_told_in_one_line() -> None:
    with warm_kernel() as kernel:
        if kernel is None:
            pytest.skip("one processor: there is no other process")
        result = begun(kernel, os._exit, 9)
        with pytest.raises(ExportError, match="memory"):
            result()


def test_without_a_process_the_task_is_done_here() -> None:
    assert begun(None, os.getpid)() == os.getpid()


def test_the_process_ends_when_the_program_is_killed(tmp_path: Path) -> None:
    code = (
        "import os, sys, time\nfrom formgen.outputs.step.kernel import begun, warm_kernel\n"
        "if __name__ == '__main__':\n"
        "    with warm_kernel() as kernel:\n"
        "        print(begun(kernel, os.getpid)(), flush=True)\n"
        "        time.sleep(60)\n"
    )
    script = tmp_path / "script.py"
    script.write_text(code, encoding="utf-8")
    with subprocess.Popen([sys.executable, str(script)], stdout=subprocess.PIPE, text=True) as program:
        assert program.stdout is not None
        other = int(program.stdout.readline())
        program.kill()
    if other == program.pid:
        pytest.skip("one processor: there is no other process")
    for _ in range(100):
        try:
            os.kill(other, 0)
        except ProcessLookupError:
            return
        if Path(f"/proc/{other}/stat").exists() and Path(f"/proc/{other}/stat").read_text().split()[2] == "Z":
            return
        time.sleep(0.1)
    pytest.fail("the kernel's process outlived the program")


def test_a_process_that_dies_in_the_middle_of_its_answer_is_told_in_one_line() -> None:
    near, far = get_context("spawn").Pipe()
    kernel = Kernel(near)
    result = kernel.begin(os.getpid)
    os.write(far.fileno(), b"\0\0\4\0half")
    far.close()
    with pytest.raises(ExportError, match="memory"):
        result()
    kernel.close()


def test_a_pipe_is_not_closed_while_a_task_is_being_sent() -> None:
    """Its number would be another file's at once, and the rest of the task would be written there."""
    near, far = get_context("spawn").Pipe()
    kernel = Kernel(near)
    kernel.begin(len, bytes(5_000_000))
    closing = Thread(target=kernel.close, daemon=True)
    closing.start()
    closing.join(0.2)
    assert closing.is_alive()
    assert not near.closed
    far.close()  # the other process ends
    closing.join(60.0)
    assert near.closed


def test_a_form_larger_than_the_pipe_is_sent_while_nobody_reads() -> None:
    """The other process reads nothing before the kernel is loaded, and a build does not wait for that."""
    near, far = get_context("spawn").Pipe()
    results: list[Callable[[], int]] = []
    kernel = Kernel(near)
    begin = Thread(target=lambda: results.extend(kernel.begin(len, bytes(5_000_000)) for _ in range(2)), daemon=True)
    begin.start()
    begin.join(60.0)
    assert not begin.is_alive()
    for result in results:
        task = far.recv()
        far.send((True, task()))
        assert result() == 5_000_000
