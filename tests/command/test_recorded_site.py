"""A site with a daily record, or with monthly normals, from the command line to the sentences for the grower."""

from __future__ import annotations

import csv
import gzip
import json
import re
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from calgen.cli import main
from calgen.command.load import desk

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

DATA = Path(__file__).parent.parent / "climate" / "data"
BEDS = """\
chart-starts: September 2026
beds:
  Long bed:
    size: 1.2 x 6 m
    needs: [nitrogen, cover]
    order:
      - crop: courgette
        planted: 2026-05-30
        cleared: 2026-09-20
      - cover: cereal rye
      - crop: tomato
        planted: 2027-04-24
  Short bed:
    size: 1.2 x 3 m
    order:
      - crop: lettuce
        planted: 2026-07-30
        cleared: 2026-09-05
      - cover: phacelia
        sown: 2026-09-10
      - crop: French bean
"""
NORMALS = ((0.7, 5.4), (0.9, 6.5), (3.4, 10.2), (5.2, 13.4), (8.9, 17.8), (11.6, 20.4), (13.6, 22.5), (13.5, 22.5),
           (11.0, 18.8), (8.0, 14.7), (4.0, 9.3), (1.9, 6.3))


@pytest.fixture
def say(capsys: pytest.CaptureFixture[str]) -> Callable[..., tuple[int, str, str]]:
    """Run a command: exit status, standard output, standard error."""
    def run(*words: object) -> tuple[int, str, str]:
        status = main([str(word) for word in words])
        told = capsys.readouterr()
        return status, told.out, told.err

    return run


@pytest.fixture
def site(tmp_path: Path) -> Path:
    """A site with the record of Brussels beside it."""
    (tmp_path / "nights.csv").write_bytes(gzip.decompress((DATA / "brussels_be.csv.gz").read_bytes()))
    path = tmp_path / "canal.yaml"
    path.write_text(f"site: Canal plot\nlatitude: 50.8\nclimate: {{record: nights.csv}}\n{BEDS}", "utf-8")
    return path


def nights() -> dict[date, float]:
    """Lowest temperatures of the record, read by the standard library alone. [°C]"""
    with gzip.open(DATA / "brussels_be.csv.gz", "rt", encoding="utf-8") as stream:
        return {date.fromisoformat(row["date"]): float(row["tmin_c"]) for row in csv.DictReader(stream)
                if row["tmin_c"]}


def days(start: date, end: date) -> Iterator[date]:
    """From the first day to the one before the second."""
    return (start + timedelta(n) for n in range((end - start).days))


def years_of(text: str) -> list[dict[str, Any]]:
    """All statements about years in the JSON of ``why``."""
    told = json.loads(text)
    return [*told["years"], *(entry for slot in told["slots"] for entry in slot["years"])]


def test_windows_rest_on_the_record(site: Path, say: Callable[..., tuple[int, str, str]]) -> None:
    status, out, _ = say("when", site, "tomato", "--json")
    assert status == 0
    assert json.loads(out)["climate"]["level"] == 3


def test_frost_after_planting_is_counted_in_the_record(site: Path, say: Callable[..., tuple[int, str, str]]) -> None:
    """Brussels 1976-2005: the springs with a night at or below 0 °C from 24 April to midsummer, counted here."""
    lows = nights()
    hits = sum(any(lows.get(day, 9.0) <= 0 for day in days(date(year, 4, 24), date(year, 7, 10)))
               for year in range(1976, 2006))
    status, out, _ = say("why", site, "Long bed", "--json")
    told = next(entry for entry in years_of(out) if entry["what"] == "frost-planted")
    assert status == 0
    assert (told["plants"], told["date"], told["from_record"]) == (["tomato"], "2027-04-24", True)
    assert told["of"] == 30
    assert abs(told["hits"] - hits) <= 1
    assert 0 < hits < 30
    assert f"in {told['hits']} of 30 years" in told["text"]


def test_killing_winters_are_counted_in_the_record(site: Path, say: Callable[..., tuple[int, str, str]]) -> None:
    """The winters with a night as cold as the sentence says, counted here; the record begins and ends in one."""
    _, out, _ = say("why", site, "Short bed", "--json")
    told = next(entry for entry in years_of(out) if entry["what"] == "killed")
    cold = re.search(r"the (−[0-9.]+) °C", told["text"])
    assert cold
    lows, kill = nights(), float(cold[1].replace("−", "-"))
    hits = sum(any(lows.get(day, 9.0) <= kill for day in days(date(year, 7, 15), date(year + 1, 7, 15)))
               for year in range(1976, 2005))
    assert told["plants"] == ["phacelia"]
    assert told["of"] == 29
    assert abs(told["hits"] - hits) <= 1
    assert 0 < hits < 29


def test_reasons_speak_of_the_years(site: Path, say: Callable[..., tuple[int, str, str]]) -> None:
    status, out, _ = say("why", site, "Long bed")
    plain = " ".join(out.split())
    assert status == 0
    assert re.search(r"tomato is set out, frost still came in \d+ of 30 years on record", plain)
    assert re.search(r"cereal rye would have had the warmth .* in \d+ of 29 years on record", plain)


def test_later_sowings_establish_in_no_more_years(site: Path, say: Callable[..., tuple[int, str, str]]) -> None:
    text = site.read_text("utf-8")
    hits = []
    for day in ("2026-09-10", "2026-09-25", "2026-10-10", "2026-10-25"):
        site.write_text(text.replace("sown: 2026-09-10", f"sown: {day}"), "utf-8")
        _, out, _ = say("why", site, "Short bed", "--json")
        hits.append(next(entry["hits"] for entry in years_of(out) if entry["what"] == "established"))
    assert hits == sorted(hits, reverse=True)
    assert hits[0] > hits[-1]


def test_bed_cards_carry_the_years(site: Path, tmp_path: Path, say: Callable[..., tuple[int, str, str]]) -> None:
    status, _, _ = say("build", site, "--out", tmp_path / "out", "--today", "2026-09-01")
    assert status == 0
    assert re.search(r"of 30 years on record", (tmp_path / "out" / "canal" / "index.html").read_text("utf-8"))


def test_a_broken_record_is_told_by_its_own_line(site: Path, say: Callable[..., tuple[int, str, str]]) -> None:
    record = site.with_name("nights.csv")
    lines = record.read_text("utf-8").splitlines()
    lines[4], lines[9] = "1976-13-04,1.0,5.0", "1976-01-09,cold,5.0"
    record.write_text("\n".join(lines), "utf-8")
    status, out, err = say("when", site, "tomato")
    assert status == 1
    assert not out
    assert f"{record}:5:" in err
    assert f"{record}:10:" in err
    assert "Traceback" not in err


def test_a_missing_record_is_told(site: Path, say: Callable[..., tuple[int, str, str]]) -> None:
    site.with_name("nights.csv").unlink()
    status, _, err = say("check", site)
    assert status == 1
    assert "nights.csv" in err
    assert "there is no such file" in err


def test_monthly_normals_answer_without_years(tmp_path: Path, say: Callable[..., tuple[int, str, str]]) -> None:
    path = tmp_path / "canal.yaml"
    rows = ", ".join(f"[{low}, {high}]" for low, high in NORMALS)
    path.write_text(f"site: Canal plot\nlatitude: 50.8\nfrost: {{last: 10 April, first: 13 November}}\n"
                    f"climate: {{normals: [{rows}]}}\n{BEDS}", "utf-8")
    status, out, _ = say("when", path, "tomato", "cereal rye", "--json")
    assert status == 0
    assert json.loads(out)["climate"]["level"] == 2
    _, out, _ = say("why", path, "Long bed", "--json")
    told = years_of(out)
    assert {entry["what"] for entry in told} >= {"established", "killed", "frost-planted"}
    assert all(not entry["from_record"] and entry["of"] == 10 and "on record" not in entry["text"] for entry in told)
    assert "By what is known of the climate, tomato set out on 24 April" in next(
        entry["text"] for entry in told if entry["what"] == "frost-planted")


def plain_record(tmp_path: Path) -> Path:
    """Columns date, tmin, tmax."""
    path = tmp_path / "nights.csv"
    path.write_bytes(gzip.decompress((DATA / "brussels_be.csv.gz").read_bytes()))
    return path


def ghcn_record(tmp_path: Path) -> Path:
    """The same days in the access shape of NOAA's GHCN-Daily: quoted, tenths of °C, a column an element."""
    path = tmp_path / "XX000000001.csv"
    with gzip.open(DATA / "brussels_be.csv.gz", "rt", encoding="utf-8") as stream, path.open("w") as out:
        out.write('"STATION","DATE","LATITUDE","LONGITUDE","ELEVATION","NAME","TMAX","TMAX_ATTRIBUTES","TMIN",'
                  '"TMIN_ATTRIBUTES"\n')
        for row in csv.DictReader(stream):
            low, high = (f"{round(10 * float(row[key]))}" if row[key] else "" for key in ("tmin_c", "tmax_c"))
            out.write(f'"XX000000001","{row["date"]}","50.8","4.35","100.0","BRUSSELS, BE","{high:>5}",",,E",'
                      f'"{low:>5}",",,E"\n')
    return path


@pytest.mark.parametrize("write", [plain_record, ghcn_record])
def test_the_lines_of_a_record_can_be_pasted_into_a_site_file(
        write: Callable[[Path], Path], tmp_path: Path, say: Callable[..., tuple[int, str, str]]) -> None:
    record = write(tmp_path)
    status, out, _ = say("climate", record)
    assert status == 0
    pasted = out[out.rindex("\n\n"):].strip()
    latitude = "" if pasted.startswith("latitude:") else "latitude: 50.8\n"
    path = tmp_path / "pasted.yaml"
    path.write_text(f"site: Canal plot\n{latitude}{pasted}\n{BEDS}", "utf-8")
    found = desk(path)
    status, out, _ = say("climate", record, "--json")
    data = json.loads(out)
    assert status == 0
    assert found.climate.level == 2
    assert found.site.latitude_deg == 50.8
    assert found.site.winter_low_c == pytest.approx(data["winter_low"]["mean_c"], abs=0.06)
    last = next(row for row in data["frost"] if (row["season"], row["threshold_c"]) == ("last-spring", 0.0))
    assert found.site.frost
    assert f"{found.site.frost.last.month:02d}-{found.site.frost.last.day:02d}" == last["p50"]
    assert len(found.site.climate.normals_c) == 12
