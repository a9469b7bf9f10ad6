"""Many runs of one pure function: on this machine's processors, or on a cluster that is there already."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from typing import Protocol, TypeVar

from loftbook.errors import Refused

_In = TypeVar("_In")
_Out = TypeVar("_Out")
PATIENCE = 10  # s to wait for a cluster to answer


class Mapper(Protocol):
    """Runs a function over inputs and gives the results in their order.

    The function stands at the top of a module and draws no chance but by a seed in its
    input, so that it does not matter where and in which order it runs.
    """

    def map(self, function: Callable[[_In], _Out], inputs: Sequence[_In]) -> tuple[_Out, ...]:
        """The results, in the order of the inputs; the first error of one is raised."""
        ...


@dataclass(frozen=True)
class Here:
    """The processors of this machine; few inputs are done without starting a process."""

    processes: int = os.cpu_count() or 1

    def map(self, function: Callable[[_In], _Out], inputs: Sequence[_In]) -> tuple[_Out, ...]:
        """See `Mapper.map`."""
        if self.processes == 1 or len(inputs) < 2:
            return tuple(map(function, inputs))
        # "spawn": a process that was forked from one with threads may stand still for ever.
        context = multiprocessing.get_context("spawn")
        with ProcessPoolExecutor(min(self.processes, len(inputs)), mp_context=context) as pool:
            return tuple(pool.map(function, inputs))


@dataclass(frozen=True)
class Cluster:
    """A Dask cluster by its scheduler's address, such as tcp://cluster.example:8786; its workers need Loftbook too."""

    address: str

    def map(self, function: Callable[[_In], _Out], inputs: Sequence[_In]) -> tuple[_Out, ...]:
        """See `Mapper.map`. Raises Refused without the package, and where nobody answers."""
        try:
            from distributed import Client
        except ModuleNotFoundError as error:
            raise Refused(
                "no package distributed, which speaks to a cluster",
                "it",
                'install it with: pip install "loftbook[cluster]"',
            ) from error
        try:
            client = Client(self.address, timeout=PATIENCE, set_as_default=False)  # type: ignore[no-untyped-call]
        except (OSError, ValueError) as error:
            raise Refused(
                f"nobody who answers at {self.address} ({type(error).__name__})",
                "the address of a Dask scheduler, such as tcp://cluster.example:8786",
                "check the address, or leave --cluster out",
            ) from error
        with client:
            # pure=False: an answer of an older Loftbook that the cluster remembers is not taken for this one.
            return tuple(client.gather(client.map(function, list(inputs), pure=False)))  # type: ignore[no-untyped-call]
