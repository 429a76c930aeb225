"""Places worked on by the workers of a dask.distributed scheduler, through an executor."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import CancelledError, Executor
from contextlib import contextmanager
from typing import Any
from urllib.parse import urlsplit

from stillwall.errors import Fault, InputError
from stillwall.store import code_digest

WAIT_S = 30
"""How long a scheduler may take to answer, and its first worker to be there."""
STARTED = "start one with `dask scheduler`, and give the address that it prints: tcp://HOST:8786"
TRIES = 3
"""How often a place is tried on other workers when one of them dies over it."""


@contextmanager
def workers_of(address: str | None) -> Iterator[Executor | None]:
    """An executor on the workers of a scheduler, to be handed to ``open_survey``; None without an address.

    Scheduler and workers run the same installation of this package and see the survey's folder under the
    same path. Results are the same bit for bit as on this machine where the workers' processors are alike.

    Raises
    ------
    InputError
        If the extra ``cluster`` is not installed, no scheduler answers at the address, it has no workers,
        they run another version, or they are lost while they work.
    """
    if address is None:
        yield None
        return
    try:
        from distributed import Client, KilledWorker
        from distributed.comm.core import CommClosedError
    except ImportError as error:
        fix = "install the extra: pip install 'stillwall[cluster]'"
        raise _fault(address, "dask.distributed is not installed", fix) from error
    if not _is_address(address):
        raise _fault(address, "not an address", STARTED)
    try:
        client = Client(address, timeout=WAIT_S, set_as_default=False)
    except (OSError, TypeError) as error:
        raise _fault(address, f"no scheduler answers: {error}", STARTED) from error
    try:
        _check(client, address)
        yield client.get_executor(pure=False, retries=TRIES)
    except (CancelledError, CommClosedError, KilledWorker) as error:
        fix = "look at the logs of the scheduler and its workers, or leave --scheduler out"
        raise _fault(address, f"the workers were lost: {error or type(error).__name__}", fix) from error
    finally:
        client.close()


def _is_address(text: str) -> bool:
    """Whether it is a host and a port, with or without ``tcp://``."""
    try:
        parts = urlsplit(text if "://" in text else f"tcp://{text}")
        return parts.scheme in ("tcp", "tls") and bool(parts.hostname) and parts.port is not None
    except ValueError:
        return False


def _check(client: Any, address: str) -> None:
    """That there are workers, and that each runs this version of the package and its libraries."""
    try:
        client.wait_for_workers(1, timeout=WAIT_S)
    except TimeoutError as error:
        fix = f"start some with `dask worker {address}`"
        raise _fault(address, "the scheduler has no workers", fix) from error
    fix = "install the same stillwall and the same libraries for the scheduler and every worker"
    try:
        digests = client.run(code_digest)
    except (ImportError, AttributeError) as error:
        raise _fault(address, f"a worker cannot run this package: {error}", fix) from error
    others = sorted(worker for worker, digest in digests.items() if digest != code_digest())
    if others:
        raise _fault(address, f"{', '.join(others)} of another version", fix)


def _fault(address: str, found: str, fix: str) -> InputError:
    where = f"--scheduler {address}"
    return InputError(Fault(where, found, "a dask.distributed scheduler with workers", fix))
