"""Tells of many sites while they are built: lines in the order in which they were named, a bar, and a summary."""

from __future__ import annotations

import os
import sys
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

from calgen.command.build import show_json
from calgen.command.many import Order, Outcome, build_site, clashes, in_processes, on_cluster

if TYPE_CHECKING:
    import argparse
    from collections.abc import Iterable, Iterator, Mapping
    from datetime import date
    from typing import TextIO

DIARY = ".diary.yaml"


def build_many(args: argparse.Namespace, made: date) -> int:
    """Build every site that is named, whatever becomes of the others; exit status 1 when one has problems."""
    from calgen.command.made import program_sum

    if args.workers > (most := _most_workers()):
        print(f"--workers {args.workers}: at most {most} are of use on this machine", file=sys.stderr)
        return 2
    program = None if args.all or len(args.sites) == 1 else program_sum()
    place = Path.absolute if args.cluster else Path  # workers elsewhere have working folders of their own
    paths = [place(path) for path in args.sites if not path.name.endswith(DIARY)]
    if not paths:
        print("only diaries are named; name the site files that they lie beside", file=sys.stderr)
        return 2
    templates = place(args.templates) if args.templates else None
    orders = [Order(path, place(args.out), made, templates, args.style, args.tile, program) for path in paths]
    refused = clashes(orders)
    good = [order for order in orders if order.path not in refused]
    shown: list[dict[str, object]] = []
    came: Counter[str] = Counter()  # outcomes are not kept: memory would grow with their lines
    try:
        for outcome in _in_turn(_with_bar(_outcomes(good, args), len(good)), paths, refused):
            came["problems" if outcome.problems else "unchanged" if outcome.unchanged else "built"] += 1
            if args.json:
                shown.append(_as_json(outcome))
            for line in () if args.json else outcome.told:
                _say(line, sys.stdout)
            for problem in outcome.problems:
                _say(problem, sys.stderr)
    except _ClusterError as error:
        print(error, file=sys.stderr)
        return 1
    if args.json:
        show_json(shown)
    else:
        print(_summary(came, len(args.sites) - len(paths)))
    return 1 if came["problems"] else 0


def _most_workers() -> int:
    """Four for each core; Windows cannot wait for more than 61."""
    most = 4 * (os.cpu_count() or 1)
    return min(most, 61) if os.name == "nt" else most


def _outcomes(good: list[Order], args: argparse.Namespace) -> Iterator[Outcome]:
    if args.cluster:
        return _from_cluster(good, args.cluster)
    workers = min(args.workers, len(good))
    return in_processes(good, workers) if workers > 1 else map(build_site, good)


class _ClusterError(Exception):
    pass


def _from_cluster(good: list[Order], address: str) -> Iterator[Outcome]:
    try:
        yield from on_cluster(good, address)
    except ModuleNotFoundError:
        what = "needs Dask's scheduler, which is not installed; install it with: pip install 'calgen[cluster]'"
        raise _ClusterError(f"--cluster {what}") from None
    except (OSError, ValueError, TypeError) as error:
        raise _ClusterError(f"--cluster {address}: no scheduler answers there ({error})") from None


def _with_bar(outcomes: Iterator[Outcome], total: int) -> Iterator[Outcome]:
    """The same, with a bar on a terminal while they come."""
    if not sys.stderr.isatty():
        return outcomes
    from tqdm import tqdm

    return iter(tqdm(outcomes, total=total, unit="site", file=sys.stderr, leave=False))


def _say(line: str, stream: TextIO) -> None:
    if sys.stderr.isatty():
        from tqdm import tqdm

        tqdm.write(line, file=stream)
    else:
        print(line, file=stream)


def _in_turn(outcomes: Iterable[Outcome], paths: list[Path], refused: Mapping[Path, Outcome]) -> Iterator[Outcome]:
    """The outcomes in the order of the paths; those that come early wait."""
    early = dict(refused)
    coming = iter(outcomes)
    for path in paths:
        while path not in early:
            outcome = next(coming)
            early[outcome.path] = outcome
        yield early[path]
        if path not in refused:
            del early[path]


def _summary(came: Counter[str], diaries: int) -> str:
    parts = [f"{came['built']} built", f"{came['unchanged']} unchanged",
             f"{came['problems']} with problems, of which nothing was written"]
    left_out = {0: "", 1: "; 1 diary read with its site"}.get(diaries, f"; {diaries} diaries read with their sites")
    sites = "1 site" if came.total() == 1 else f"{came.total()} sites"
    return f"{sites}: {', '.join(part for part in parts if not part.startswith('0 '))}{left_out}"


def _as_json(outcome: Outcome) -> dict[str, object]:
    return {"file": str(outcome.path), "written": outcome.written, "told": outcome.told or outcome.problems,
            "unchanged": outcome.unchanged, "done": not outcome.problems}
