"""Builds many generated sites: ``python tests/bench/many_sites.py [SITES [WORKERS]]`` (1000 sites, all cores).

Sites are invented by a seeded generator: latitudes of both halves of the world, frost dates that go with them, one to
twelve beds. Printed are sites a second for each core, and the memory of the parent and of its largest worker after each
tenth of the work (from /proc, so on Linux only). Unchanged sites are then passed over in a second run.
"""

from __future__ import annotations

import os
import random
import re
import subprocess
import sys
import tempfile
import time
from datetime import date, timedelta
from pathlib import Path

CROPS = ("lettuce", "courgette", "tomato", "leek", "carrot", "onion sets", "kale", "French bean", "pea", "beetroot",
         "maincrop potato", "sweet corn", "winter squash", "spinach", "garlic", "cabbage")
FAMILIES = ("carrot", "onion", "cabbage", "tomato", "pea")
NEEDS = ("nitrogen", "hold-nutrients", "biomass", "structure", "weeds", "cover", "pollinators")
SOILS = ("sand", "loam", "clay", "chalk")
MiB = 1024


def site(number: int) -> str:
    """A site file, the same for the same number."""
    chance = random.Random(number)
    latitude = round(chance.uniform(28, 60), 1)
    middle = date(2027, 7, 22) + timedelta(days=chance.randint(-4, 6))
    half = timedelta(days=round(chance.uniform(-10, 10) + 130 - 1.2 * (latitude - 28)))
    last, first = middle - half, middle + half
    year = date(2026, 9, 1)
    south = chance.random() < 0.25
    if south:
        latitude, year = -latitude, date(2026, 3, 1)
        last, first = last + timedelta(days=184), first - timedelta(days=181)
    beds = "".join(bed(chance, index, year) for index in range(1, chance.randint(1, 12) + 1))
    return (f"site: Plot {number}\nlatitude: {latitude}\nfrost: {{last: {last:%-d %B}, first: {first:%-d %B}}}\n"
            f"soil: {chance.choice(SOILS)}\ngarden-days: [Sat, Wed]\nchart-starts: {year:%B %Y}\nbeds:\n{beds}")


def bed(chance: random.Random, index: int, year: date) -> str:
    """A bed with something that stands, a cover to choose and a crop to come."""
    before, after = chance.sample(CROPS, 2)
    cleared = year + timedelta(days=chance.randint(0, 60))
    needs = ", ".join(chance.sample(NEEDS, 2))
    size = f"{chance.choice((0.8, 1, 1.2))} x {chance.randint(2, 12)} m"
    return (f"  Bed {index}:\n    size: {size}\n    needs: [{needs}]\n"
            f"    grew: {{{year.year - 1}: [{chance.choice(FAMILIES)}]}}\n    order:\n"
            f"      - {{crop: {before}, planted: {cleared - timedelta(days=90)}, cleared: {cleared}}}\n"
            f"      - cover: choose\n      - crop: {after}\n")


def memory_kib(pid: int) -> int:
    """Resident memory of a process; 0 when it is gone."""
    try:
        found = re.search(r"VmRSS:\s+(\d+)", Path(f"/proc/{pid}/status").read_text("utf-8"))
    except OSError:
        return 0
    return int(found[1]) if found else 0


def children(pid: int) -> list[int]:
    """Processes started by a process."""
    try:
        return [int(word) for word in Path(f"/proc/{pid}/task/{pid}/children").read_text("utf-8").split()]
    except OSError:
        return []


def timed(sites: list[Path], out: Path, workers: int) -> tuple[float, list[str]]:
    """Seconds for a build of all, and what came of it, with memory told on the way."""
    began = time.perf_counter()
    command = [sys.executable, "-m", "calgen", "build", *map(str, sites), "--out", str(out), "--workers", str(workers),
               "--today", "2026-09-01"]
    log = out.with_suffix(".log")
    tenth = max(1, len(sites) // 10)
    told = 0
    with log.open("wb") as stream, subprocess.Popen(command, stdout=stream, stderr=subprocess.STDOUT) as run:
        while run.poll() is None:
            time.sleep(0.2)
            done = sum(1 for _ in out.iterdir()) if out.is_dir() else 0
            if done >= (told + 1) * tenth:
                told = done // tenth
                parent, worker = memory_kib(run.pid), max(map(memory_kib, children(run.pid)), default=0)
                print(f"{done:6} begun: parent {parent / MiB:5.0f} MiB, largest worker {worker / MiB:5.0f} MiB",
                      flush=True)
    return time.perf_counter() - began, log.read_text("utf-8").splitlines()


def main(count: int = 1000, workers: int = os.cpu_count() or 1) -> None:
    """Generate, build, build again."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        sites = [folder / f"plot-{number:05}.yaml" for number in range(count)]
        for number, path in enumerate(sites):
            path.write_text(site(number), "utf-8")
        seconds, lines = timed(sites, folder / "output", workers)
        used = os.times()
        size = sum(path.stat().st_size for path in (folder / "output").rglob("*") if path.is_file())
        print(f"{lines[-1]}\n{count / seconds:.2f} sites a second on {workers} workers, "
              f"{count / (used.children_user + used.children_system):.2f} for each second of a core; "
              f"{size / count / 1024:.0f} KiB a site")
        seconds, lines = timed(sites, folder / "output", workers)
        print(f"{lines[-1]}\n{count / seconds:.0f} unchanged sites a second")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
