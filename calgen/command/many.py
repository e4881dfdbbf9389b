"""Builds many sites: each is an order that can be sent to another process or machine, and comes back as an outcome.

``over`` runs on any executor of ``concurrent.futures``: threads, processes, or a cluster whose machines share the
folders of sites and outputs. Orders are handed out as they can be taken, so memory does not grow with their number.
"""

from __future__ import annotations

from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, ProcessPoolExecutor, wait
from contextlib import suppress
from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from datetime import date
    from pathlib import Path

AHEAD = 2
"""Orders handed out for each worker: the next one lies ready when one is done."""


class Order(Struct, frozen=True):
    """What to make for one site. ``program`` is calgen's own sum, None where even unchanged sites are made again."""

    path: Path
    out: Path
    made: date
    templates: Path | None
    style: str
    tile: str | None
    program: str | None = None


class Outcome(Struct, frozen=True):
    """What came of an order: files written, lines for the grower, and what went wrong.

    ``lost`` is the order again when the worker that had it died.
    """

    path: Path
    written: tuple[str, ...] = ()
    told: tuple[str, ...] = ()
    problems: tuple[str, ...] = ()
    unchanged: bool = False
    lost: Order | None = None


def build_site(order: Order) -> Outcome:
    """Carry out an order. Never raises: whatever goes wrong with one site is told in its outcome."""
    from calgen.command.build import Made, build, not_overtaken
    from calgen.command.load import desk
    from calgen.command.made import keep, read_first, read_later, sums, unchanged
    from calgen.command.worker import forget
    from calgen.output import OutputError, settle
    from calgen.problems import InputError

    folder = order.out / order.path.stem
    options = f"{order.program} {order.path} {order.made} {order.style} {order.tile} {order.templates}"
    told: list[str] = []
    try:
        settle(folder)
        if order.program and unchanged(folder, options):
            return Outcome(order.path, told=(f"{folder}: unchanged",), unchanged=True)
        before: dict[str, str | None] = {}

        def make() -> Made:
            before.update(sums(read_first(order.path, order.templates)) if order.program else {})
            found = desk(order.path, order.templates)
            before.update(sums(read_later(found, order.style)) if order.program else {})
            return build(found, order.out, order.made, order.style, order.tile, told.append)

        made = not_overtaken(make)
        if order.program:
            keep(folder, options, before, made.files)
        return Outcome(order.path, made.written, tuple(told))
    except InputError as error:
        return Outcome(order.path, problems=tuple(str(problem) for problem in error.problems))
    except OutputError as error:
        return Outcome(order.path, problems=(f"{order.path}: {error}",))
    except Exception as error:  # the other sites go on
        what = f"calgen failed ({type(error).__name__}: {error}); that is calgen's fault, please report it"
        return Outcome(order.path, problems=(f"{order.path}: {what}",))
    finally:
        forget()


def over(executor: Executor, waiting: Iterator[Order], width: int) -> Iterator[Outcome]:
    """Outcomes as they come, from any executor; an order whose worker died comes back as lost.

    Args:
        waiting: is left where it stands once the executor is broken.
        width: how many orders are handed out at a time.
    """
    running: dict[Future[Outcome], Order] = {}
    broken = False
    try:
        while True:
            while not broken and len(running) < width and (order := next(waiting, None)) is not None:
                try:
                    running[executor.submit(build_site, order)] = order
                except BrokenExecutor:
                    broken = True
                    yield _lost(order)
            if not running:
                return
            for future in wait(running, return_when=FIRST_COMPLETED).done:
                order = running.pop(future)
                try:
                    yield future.result()
                except Exception as error:  # each executor has its own way of telling that a worker is gone
                    broken = broken or isinstance(error, BrokenExecutor)
                    yield _lost(order)
    finally:
        for future in running:
            future.cancel()


def in_processes(orders: Iterable[Order], workers: int) -> Iterator[Outcome]:
    """Outcomes as they come, from so many processes of this machine.

    A process that dies takes the pool with it: what was handed out is then made again, each site by a process of its
    own, so that only the site that kills it is lost.
    """
    waiting = iter(orders)
    again: list[Order] = []
    while True:
        with _pool(workers) as pool:
            for outcome in over(pool, waiting, workers * AHEAD):
                if outcome.lost:
                    again.append(outcome.lost)
                else:
                    yield outcome
        if not again:
            return
        for order in again:
            with _pool(1) as alone:
                yield from over(alone, iter([order]), 1)
        again = []


def on_cluster(orders: Iterable[Order], address: str) -> Iterator[Outcome]:
    """Outcomes as they come, from the workers of a Dask scheduler at this address, such as tcp://host:8786.

    Raises:
        ModuleNotFoundError: Dask's distributed is not installed.
        OSError: no scheduler answers there.
        ValueError: the address is none.
    """
    from distributed import Client

    connected = Client(address, set_as_default=False, timeout="10s")
    with connected as client:
        workers = sum(client.nthreads().values())
        yield from over(client.get_executor(pure=False, retries=1), iter(orders), max(1, workers) * AHEAD)


def _pool(workers: int) -> ProcessPoolExecutor:
    from multiprocessing import get_context

    from calgen.command.worker import begin

    return ProcessPoolExecutor(workers, get_context("spawn"), initializer=begin)


def _lost(order: Order) -> Outcome:
    from calgen.output import OutputError, settle

    with suppress(OutputError):  # what the worker left between two moves
        settle(order.out / order.path.stem)
    what = "the process that worked on it was killed or ran out of memory; build it by itself"
    return Outcome(order.path, problems=(f"{order.path}: {what}",), lost=order)


def clashes(orders: Iterable[Order]) -> dict[Path, Outcome]:
    """An outcome for each site that would write into the folder of another; disks may not tell capitals apart."""
    by_folder: dict[str, list[Order]] = {}
    for order in orders:
        by_folder.setdefault(order.path.stem.casefold(), []).append(order)
    found = {}
    for same in by_folder.values():
        for order in same if len(same) > 1 else ():
            other = next((one.path for one in same if one.path != order.path), order.path)
            what = f"would be written to the same folder as {other}; rename one of the files, or name it once"
            found[order.path] = Outcome(order.path, problems=(f"{order.path}: {what}",))
    return found
