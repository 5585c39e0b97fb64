"""Jobs that end badly, for the pool's tests: other processes import them from here."""

from __future__ import annotations

import os
import signal
import time

from formgen.building.running.jobs import Done, Job


def dies_of_two(job: Job) -> Done:
    """Kills its own process where the name says so."""
    if job.name.startswith("deadly"):
        time.sleep(0.2)
        os.kill(os.getpid(), signal.SIGKILL)
    return Done(name=job.name, seconds=float(os.getpid()))


def goes_wrong(job: Job) -> Done:
    """Raises what nobody foresaw."""
    raise RuntimeError("the disk\nfell off")
