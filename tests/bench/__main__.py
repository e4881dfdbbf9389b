"""Every benchmark in one run: how calgen's time compares with a floor, and how it grows with the number of beds.

    python tests/bench             twelve beds, and 1 to 1,000 (some minutes)
    python tests/bench --quick     1 to 100 beds

Processor time, user and system, of whole processes; the best of several, since other work on a machine only adds. The
floor of a build is a process that asks reportlab and icalendar for the same drawing and the same events, written down
in a build a moment before (``recorder.py``, ``floor.py``); that of ``check`` loads the same file by ``yaml.safe_load``,
PyYAML's plain loader in Python.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from math import log
from pathlib import Path
from statistics import linear_regression
from tempfile import TemporaryDirectory

from garden import choosing, garden

HERE = Path(__file__).parent
ROUNDS = 7
SIZES = (1, 10, 100, 1000)
STARTED = "import sys; from calgen.cli import main; sys.exit(main())"
LOADED = "import sys, yaml; yaml.safe_load(open(sys.argv[1], 'rb'))"
ENVIRONMENT = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
"""An installed package has its modules compiled; a checkout only where Python may write."""


def spent_s(*words: str, rounds: int = ROUNDS) -> float:
    """Processor time of a Python process with these words after its name, the best of several. [s]"""
    return min(spent(*words)[0] for _ in range(rounds))


def spent(*words: str) -> tuple[float, float]:
    """Processor time and the most memory resident of one such process. [s, MB where the system counts in KiB]"""
    child = subprocess.Popen([sys.executable, *words], stdout=subprocess.DEVNULL, env=ENVIRONMENT)
    _, status, used = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode:
        raise SystemExit(f"{' '.join(words)} ended with {child.returncode}")
    return used.ru_utime + used.ru_stime, used.ru_maxrss * 1024 / 1e6


def told(what: str, value: float, most: float, figures: str) -> None:
    """One line: what was measured, against what it should be."""
    verdict = "ok" if value <= most else "MORE THAN WANTED"
    print(f"{what:<44}{value:8.2f}  at most {most:<6g} {figures:<40} {verdict}", flush=True)


def against_floors(folder: Path) -> None:
    """Twelve beds against what the libraries alone take."""
    site, operations, out = folder / "twelve.yaml", folder / "operations", folder / "out"
    site.write_text(garden(12), "utf-8")
    (folder / "floor").mkdir()
    subprocess.run([sys.executable, str(HERE / "recorder.py"), str(site), str(out), str(operations)], check=True,
                   stdout=subprocess.DEVNULL, env=ENVIRONMENT)
    calgen = ("-c", STARTED)
    floors, builds, planners = [], [], []
    for number in range(2 * ROUNDS):  # in turn, so that all meet the same machine
        floors.append(spent_s(str(HERE / "floor.py"), str(operations), str(folder / "floor"), rounds=1))
        builds.append(spent_s(*calgen, "build", str(site), "--out", str(folder / f"build{number}"), rounds=1))
        planners.append(json.loads(measured(12, "time", folder))["plan"])
    floor, build = min(floors), min(builds)
    told("build / floor", build / floor, 1.6, f"{build:.3f} s / {floor:.3f} s")
    planner = min(planners)
    told("planner / build", planner / build, 0.1, f"{planner:.3f} s / {build:.3f} s")
    bare, version = spent_s("-c", "pass", rounds=3 * ROUNDS), spent_s(*calgen, "--version", rounds=3 * ROUNDS)
    told("--version less a bare interpreter, ms", 1000 * (version - bare), 40, f"{version:.3f} s - {bare:.3f} s")
    check, load = spent_s(*calgen, "check", str(site)), spent_s("-c", LOADED, str(site))
    told("check / yaml.safe_load of the file", check / load, 3, f"{check:.3f} s / {load:.3f} s")
    why = spent_s(*calgen, "why", str(site), "1")
    print(f"{'why, one bed':<44}{why:8.2f} s", flush=True)


def measured(beds: int, what: str, folder: Path) -> str:
    """What ``stages.py`` says about a garden of so many beds."""
    site, open_ = folder / f"garden-{beds}.yaml", folder / f"choosing-{beds}.yaml"
    site.write_text(garden(beds), "utf-8")
    open_.write_text(choosing(beds), "utf-8")
    return subprocess.run([sys.executable, str(HERE / "stages.py"), what, str(site), str(open_)], check=True, text=True,
                          stdout=subprocess.PIPE, env=ENVIRONMENT).stdout


def growth(folder: Path, sizes: tuple[int, ...]) -> None:
    """Exponents of time and memory over the number of beds: 1 grows with them.

    Fitted without the smallest garden, where what every build costs hides what a bed does.
    """
    for what, unit in (("time", "s"), ("memory", "MB")):
        found = {beds: json.loads(measured(beds, what, folder)) for beds in sizes}
        print(f"\n{what} by beds: {', '.join(map(str, sizes))}")
        for stage in found[sizes[0]]:
            grown(f"  {stage}, exponent of {what}", {beds: found[beds][stage] for beds in sizes}, unit)
    builds = {beds: spent("-c", STARTED, "build", str(folder / f"garden-{beds}.yaml"), "--out", str(folder / "grown"))
              for beds in sizes}
    print(f"\na whole build by beds: {', '.join(map(str, sizes))}")
    grown("  exponent of time", {beds: used for beds, (used, _) in builds.items()}, "s")
    grown("  exponent of resident memory", {beds: most for beds, (_, most) in builds.items()}, "MB")


def grown(what: str, found: dict[int, float], unit: str) -> None:
    """One line: the exponent of what was measured over the number of beds."""
    sizes = list(found)[1:]
    exponent = linear_regression([log(beds) for beds in sizes], [log(max(found[beds], 1e-4)) for beds in sizes])[0]
    told(what, exponent, 1.1, f"{' '.join(f'{value:.3g}' for value in found.values())} {unit}")


def main() -> None:
    """Measure and print."""
    with TemporaryDirectory() as name:
        against_floors(Path(name))
        growth(Path(name), SIZES[:-1] if "--quick" in sys.argv[1:] else SIZES)


if __name__ == "__main__":
    main()
