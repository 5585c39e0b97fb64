"""Building: where the command line says that jobs run: processes here, or a Dask cluster.

In: `processes` or the address of a scheduler, `dask=tcp://host:port`. Out: a place for jobs, open while it is needed.
Traffic with a cluster is neither secret nor checked unless the address is `tls://`: use it in a network that you trust.
Its workers must have the same version of formgen and see the results' folder under the same path.
"""

from __future__ import annotations

import logging
import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from formgen.building.running.cluster import Cluster
from formgen.building.running.pool import Given, Place
from formgen.building.running.processes import Processes
from formgen.errors import FormgenError

_ADDRESS = re.compile(r"dask=((?:tcp|tls)://[^\s/]+:[0-9]+)")


class EngineError(FormgenError, ValueError):
    """An engine that is not known, not installed or not reached."""


@contextmanager
def opened_engine(engine: str, workers: int | None) -> Iterator[Place]:
    """The place that an engine's name means.

    Raises:
        EngineError: the name is not one, Dask is not installed, or nothing answers at the address.
    """
    if engine == "processes":
        yield Processes(workers)
        return
    match = _ADDRESS.fullmatch(engine)
    if match is None:
        raise EngineError(
            f"--engine {engine}, expected processes, dask=tcp://host:port or dask=tls://host:port; write one of them"
        )
    try:
        import distributed
    except ImportError as err:
        raise EngineError(
            "--engine dask: Dask is not installed, expected it beside formgen: pip install 'formgen[dask]'"
        ) from err
    _say_nothing()
    try:
        make: Any = distributed.Client  # untyped where it is installed, unknown where it is not
        client: Any = make(match[1], timeout="10s", set_as_default=False)
    except (OSError, ValueError) as err:
        raise EngineError(
            f"--engine {engine}: no scheduler answers there ({err}); start it, or correct the address"
        ) from err
    with client:
        there = sum(client.nthreads().values())
        if there == 0:
            raise EngineError(f"--engine {engine}: the scheduler has no workers, expected some; start workers there")
        with Cluster(client, match[1], distributed.KilledWorker) as cluster:
            yield Given(cluster, workers or there)


def _say_nothing() -> None:
    """Silence the cluster's library: what has to be told is told by whoever waits for the jobs."""
    for name in ("distributed", "distributed.client", "tornado", "tornado.application", "asyncio"):
        logging.getLogger(name).setLevel(logging.CRITICAL + 1)
