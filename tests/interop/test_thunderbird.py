"""A whole subscription: calgen's own server on loopback, and the mail program's calendar on the other side of it.

The program runs without a window, from a folder of links to the installed one, because only there it takes the
configuration file that does the clicking (``subscribe.cfg``). Profile and home are of this test alone.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import time
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import pytest
from calgen.output import write_all
from calgen.render.feed import feeds
from msgspec.structs import replace

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from calgen.schedule.model import Schedule

pytestmark = pytest.mark.interop
SCRIPT = Path(__file__).parent / "subscribe.cfg"
PATIENCE_S = 90
PREFERENCES = """pref("general.config.filename", "subscribe.cfg");
pref("general.config.obscure_value", 0);
pref("general.config.sandbox_enabled", false);
"""
QUIET = """user_pref("datareporting.policy.dataSubmissionEnabled", false);
user_pref("network.captive-portal-service.enabled", false);
user_pref("network.connectivity-service.enabled", false);
user_pref("mailnews.start_page.enabled", false);
user_pref("calendar.timezone.local", "Europe/London");
"""
SERVE = """
import sys
from pathlib import Path
from calgen.serve.server import serve
serve(Path(sys.argv[1]), port=0, tell=lambda line: print(line, flush=True))
"""


@pytest.fixture
def application(tmp_path: Path, program: Callable[[str], str], missing: Callable[[str], NoReturn]) -> Path:
    """The program's binary in a folder of links that also holds our configuration."""
    places = (Path(program("thunderbird")).resolve().parent, Path("/usr/lib/thunderbird"))
    installed = next((place for place in places if (place / "thunderbird-bin").is_file()), None)
    if installed is None:
        missing("thunderbird as Debian lays it out")
    folder = tmp_path / "app"
    (folder / "defaults/pref").mkdir(parents=True)
    for path in (*installed.iterdir(), *(installed / "defaults").iterdir(), *(installed / "defaults/pref").iterdir()):
        here = folder / path.relative_to(installed)
        if path.name == "thunderbird-bin":
            shutil.copy2(path, here)
        elif not here.exists():
            here.symlink_to(path)
    (folder / "defaults/pref/zz-subscribe.js").write_text(PREFERENCES)
    shutil.copy2(SCRIPT, folder / "subscribe.cfg")
    return folder / "thunderbird-bin"


@pytest.fixture
def garden_server(tmp_path: Path, python_module: Callable[[str], None]) -> Iterator[tuple[str, Callable[..., None]]]:
    """Address of the feed of all jobs, and a way to build a new one."""
    for name in ("waitress", "werkzeug"):
        python_module(name)
    site = tmp_path / "output/tern-hill"

    def publish(year: Schedule) -> None:
        write_all(site, {**{f"feeds/{name}": data for name, data in feeds(year).items()}, "plan.json": b"{}"})

    (site / "feeds").mkdir(parents=True)
    (site / "plan.json").write_bytes(b"{}")
    process = subprocess.Popen([sys.executable, "-c", SERVE, str(site.parent)], stdout=subprocess.PIPE,
                               stdin=subprocess.DEVNULL, text=True, encoding="utf-8")
    try:
        assert process.stdout is not None
        told = ""
        while not (found := re.search(r"http://\S+/feeds/all\.ics\n", told)):
            line = process.stdout.readline()
            assert line, told
            told += line
        yield found[0].strip(), publish
    finally:
        process.terminate()
        process.communicate()


class Calendar:
    """What the running program writes down."""

    def __init__(self, process: subprocess.Popen[bytes], folder: Path, log: Path) -> None:
        self.process, self.folder, self.log = process, folder, log

    def held(self, step: str) -> dict[str, Any]:
        """Entries by headline after a step, which is asked for here."""
        (self.folder / step).touch()
        until = time.monotonic() + PATIENCE_S
        path = self.folder / f"{step}.json"
        while not path.is_file():
            error = self.folder / "error.json"
            assert not error.is_file(), error.read_text()
            assert self.process.poll() is None, self.log.read_text(errors="replace")
            assert time.monotonic() < until, f"no answer to {step}: {self.log.read_text(errors='replace')}"
            time.sleep(0.2)
        entries = json.loads(path.read_text("utf-8"))
        assert len({entry["title"] for entry in entries}) == len(entries)
        return {entry["title"]: entry for entry in entries}


def shown(entry: Any) -> tuple[date, date]:
    first, end = (datetime.strptime(entry[side], "%Y%m%d").date() for side in ("start", "end"))  # noqa: DTZ007
    return first, end - timedelta(1)


def test_a_subscription(
    tmp_path: Path, application: Path, garden_server: tuple[str, Callable[..., None]], garden: Schedule,
    edited_year: Callable[..., Schedule], days: dict[str, tuple[date, date]],
) -> None:
    address, publish = garden_server
    publish(edited_year())
    out, profile, log = tmp_path / "out", tmp_path / "profile", tmp_path / "log"
    out.mkdir()
    profile.mkdir()
    (profile / "user.js").write_text(QUIET)
    surroundings = {"CALGEN_FEED": address, "CALGEN_OUT": str(out), "HOME": str(tmp_path), "TZ": "Europe/London",
                    "PATH": os.environ.get("PATH", ""), "LC_ALL": "C.UTF-8", "MOZ_CRASHREPORTER_DISABLE": "1"}
    with log.open("wb") as sink:
        process = subprocess.Popen([str(application), "--headless", "--no-remote", "--profile", str(profile)],
                                   env=surroundings, stdin=subprocess.DEVNULL, stdout=sink, stderr=sink)
    try:
        calendar = Calendar(process, out, log)

        first = calendar.held("first")
        assert {title: shown(entry) for title, entry in first.items()} == days
        assert all(entry["allDay"] for entry in first.values())
        for entry in first.values():
            evening = shown(entry)[0] - timedelta(1)
            assert entry["alarms"] == [f"{evening}T18:00:00"], "rings at six the evening before"
        sow = first["Sow rye and vetch – Long bed"]
        assert (sow["categories"], sow["colour"], sow["location"]) == (["Sowing"], "seagreen", "Long bed")
        assert "Last safe day: 17 October 2026\nNext: Look for bare patches" in sow["description"]
        apple = first["Undersow white clover – Under the apple; north, wet"]
        assert "žluťoučký kůň, 白クローバー." in apple["description"]

        edited = tuple(replace(job, on=job.on + timedelta(7)) if job.kind == "plant" else job
                       for job in garden.jobs if job.kind != "mulch")
        publish(edited_year((date(2026, 9, 2), edited)))
        wanted = {**days, "Plant tomato – Long bed": (date(2027, 5, 22), date(2027, 5, 22))}
        del wanted["Mulch – Long bed"]
        assert {title: shown(entry) for title, entry in calendar.held("edited").items()} == wanted

        (tmp_path / "output/tern-hill/feeds/all.ics").write_bytes(b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\n")
        assert {title: shown(entry) for title, entry in calendar.held("broken").items()} == wanted, (
            "a half-written feed is not given out, so nothing is lost")
        process.wait(PATIENCE_S)
    finally:
        if process.poll() is None:
            process.kill()
            process.wait()
