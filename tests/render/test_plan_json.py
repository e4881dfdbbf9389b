"""plan.json: its fields (format 1), its bytes, and how it is read back."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Any

import pytest
from calgen.problems import InputError
from calgen.render.plan_json import plan_json, read_plan_json
from calgen.schedule.memory import remembered
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

if TYPE_CHECKING:
    from collections.abc import Callable

    from calgen.schedule.model import Job, Schedule

FIRST = datetime(2026, 9, 1, tzinfo=UTC)


def test_fields_of_format_1(garden_year: Schedule) -> None:
    data = json.loads(plan_json(garden_year))
    assert list(data) == ["format", "site", "made", "inputs", "beds", "jobs", "notes", "memory"]
    assert (data["format"], data["site"], data["made"]) == (1, "Tern Hill plots", "2026-09-01")
    assert data["beds"] == [{"name": "Long bed", "spans": [
        {"is": "crop", "plants": ["sweet-corn"], "from": "2026-09-01", "to": "2026-09-26"},
        {"is": "cover", "plants": ["rye", "vetch"], "from": "2026-09-26", "to": "2027-04-20"},
    ]}]
    assert data["notes"] == [{"level": "note", "where": "Long bed", "text": "The window is short."}]
    sow = next(job for job in data["jobs"] if job["kind"] == "sow")
    assert sow == {
        "uid": sow["uid"], "bed": "Long bed", "kind": "sow", "plants": ["rye", "vetch"],
        "on": "2026-09-26", "from": "2026-09-26", "to": "2026-10-10", "latest": "2026-10-17", "slack_days": 14,
        "seed_g": {"rye": 110.0, "vetch": 36.5}, "title": "Sow rye and vetch – Long bed",
        "text": "Sow rye and vetch in drills 15 cm apart, 3 cm deep; firm, water.", "why": "After the sweet corn.",
        "revision": 0, "changed": "2026-09-01T00:00:00Z",
    }


def test_jobs_are_in_order_and_bytes_do_not_depend_on_it(garden: Schedule) -> None:
    one, _ = remembered(garden, None, FIRST)
    shuffled = replace(garden, jobs=garden.jobs[::-1], inputs=dict(reversed(garden.inputs.items())))
    other, _ = remembered(shuffled, None, FIRST)
    assert plan_json(one) == plan_json(other)
    days = [(job["on"], job["uid"]) for job in json.loads(plan_json(one))["jobs"]]
    assert days == sorted(days)


def test_text_is_utf_8_as_typed_and_indented_by_one(garden_year: Schedule) -> None:
    text = plan_json(garden_year).decode("utf-8")
    assert "白クローバー" in text
    assert text.startswith('{\n "format": 1,\n')
    assert text.endswith("}\n")


def test_reading_gives_back_jobs_and_memory(garden_year: Schedule) -> None:
    previous = read_plan_json(plan_json(garden_year), "plan.json")
    assert list(previous.jobs) == sorted(garden_year.jobs, key=lambda job: (job.on, job.uid))
    assert previous.memory == replace(garden_year.memory, weeks=())
    assert (previous.site, previous.made) == ("Tern Hill plots", date(2026, 9, 1))
    assert previous.inputs == garden_year.inputs


def test_halves_of_characters_and_odd_inputs_survive(
    new_schedule: Callable[..., Schedule], new_job: Callable[..., Job],
) -> None:
    inputs = {"grew": {2025: ("cabbage",)}, "made": date(2026, 9, 1), "none": None, "yes": True, "low": -8.5}
    year, _ = remembered(new_schedule(new_job("a", date(2026, 9, 5), bed="\ud800 bed"), inputs=inputs), None, FIRST)
    previous = read_plan_json(plan_json(year), "plan.json")
    assert previous.jobs[0].bed == "\ud800 bed"
    assert previous.inputs == {"grew": {"2025": ["cabbage"]}, "made": "2026-09-01", "none": None, "yes": True,
                               "low": -8.5}


def test_a_plan_without_memory_or_with_unknown_keys_is_read(garden_year: Schedule) -> None:
    """Another program may have dropped what it did not know, or added to it."""
    data = json.loads(plan_json(garden_year))
    del data["memory"]
    data["colour"] = data["jobs"][0]["colour"] = "green"
    previous = read_plan_json(json.dumps(data).encode(), "plan.json")
    assert len(previous.jobs) == len(garden_year.jobs)
    uid = garden_year.jobs[0].uid
    assert (previous.memory.plan, previous.memory.stamps[uid].revision) == ("", 0)


def broken(data: dict[str, Any], path: str, value: Any) -> bytes:
    """The file with one value replaced, or left out when the value is ``...``."""
    *above, last = path.split(".")
    at: Any = data
    for key in above:
        at = at[int(key)] if isinstance(at, list) else at[key]
    if value is ...:
        del at[last]
    else:
        at[last] = value
    return json.dumps(data).encode()


ADVICE = "; delete the file and build again (only the history is lost: past jobs, and what changed since)"


@pytest.mark.parametrize(("path", "value", "message"), [
    ("format", 2, "format: 2 is not 1: the file comes from another version of calgen"),
    ("format", "1", "format: is not a whole number"),
    ("format", ..., "format: is missing"),
    ("site", 3, "site: is not text"),
    ("made", "1 May", 'made: "1 May" is not a date'),
    ("made", "9999-12-31", 'made: "9999-12-31" is out of range'),
    ("inputs", [], "inputs: is not an object"),
    ("jobs", ..., "jobs: is missing"),
    ("jobs", [1], "jobs[0]: is not an object"),
    ("jobs.2.uid", "x", 'jobs[2].uid: "x" is not a UUID'),
    ("jobs.2.on", "2026-02-30", 'jobs[2].on: "2026-02-30" is not a date'),
    ("jobs.2.on", None, "jobs[2].on: is missing"),
    ("jobs.2.plants", ["rye", 1], "jobs[2].plants: is not a list of texts"),
    ("jobs.2.seed_g", {"rye": "110"}, "jobs[2].seed_g.rye: is not a number"),
    ("jobs.2.seed_g", {"rye": 1e999}, ""),
    ("jobs.2.seed_g", {"rye": True}, "jobs[2].seed_g.rye: is not a number in range"),
    ("jobs.2.seed_g", {"rye": 10**400}, "jobs[2].seed_g.rye: is not a number in range"),
    ("jobs.2.slack_days", 1.5, "jobs[2].slack_days: is not a whole number"),
    ("jobs.2.revision", -1, "jobs[2].revision: -1 is not a whole number from 0 to 2147483646"),
    ("jobs.2.revision", True, "jobs[2].revision: True is not a whole number from 0 to 2147483646"),
    ("jobs.2.changed", "2026-09-01", 'jobs[2].changed: "2026-09-01" is not a date and time in UTC'),
    ("jobs.2.changed", "soon", 'jobs[2].changed: "soon" is not a date and time'),
    ("jobs.2.title", "Sow\x1b[31m", "jobs[2].title: holds the invisible character U+001B"),
    ("jobs.2.bed", "North\u202e bed", "jobs[2].bed: holds the invisible character U+202E"),
    ("jobs.2.plants", ["\x00"], "jobs[2].plants: holds the invisible character U+0000"),
    ("inputs", {"soil": "\x9b2J"}, "inputs: holds the invisible character U+009B"),
    ("inputs", {"\x1b": 1}, "inputs: holds the invisible character U+001B"),
    ("inputs", {"beds": [[[[[[[[[[[[1]]]]]]]]]]]]}, "inputs: holds more than calgen ever writes"),
    ("inputs", {"beds": list(range(300_001))}, "inputs: holds more than calgen ever writes"),
    ("memory", 1, "memory: is not an object"),
    ("memory.plan", "x", 'memory.plan: "x" is not a UUID'),
    ("memory.stamps", {"x": {}}, 'memory.stamps.x: "x" is not a UUID'),
    ("memory.silent", {"../../etc": "2026-09-01"}, 'memory.silent: "../../etc" is no feed'),
    ("memory.silent", {"sow": 1}, "memory.silent.sow: is not text"),
])
def test_a_wrong_value_is_told_with_its_path_and_what_to_do(
    garden_year: Schedule, path: str, value: Any, message: str,
) -> None:
    with pytest.raises(InputError) as caught:
        read_plan_json(broken(json.loads(plan_json(garden_year)), path, value), "out/plan.json")
    said = str(caught.value)
    assert said.startswith(f"out/plan.json:1:1: {message}")
    assert said.endswith(ADVICE)


def test_a_kind_nobody_knows_and_a_uid_twice(garden_year: Schedule) -> None:
    data = json.loads(plan_json(garden_year))
    data["jobs"][0]["kind"] = "prune"
    with pytest.raises(InputError, match=r'jobs\[0\]\.kind: "prune" is not one of order-seed, sow'):
        read_plan_json(json.dumps(data).encode(), "plan.json")
    data = json.loads(plan_json(garden_year))
    data["jobs"][1]["uid"] = data["jobs"][0]["uid"]
    with pytest.raises(InputError, match="jobs: the same uid stands twice"):
        read_plan_json(json.dumps(data).encode(), "plan.json")


@pytest.mark.parametrize(("data", "message"), [
    (b"", "plan.json:1:1: is no longer JSON (Expecting value)"),
    (b'{\n "format": 1,\n "site"', "plan.json:3:8: is no longer JSON (Expecting ':' delimiter)"),
    (b'{\n "site": "\xff"}', "plan.json:2:1: is not UTF-8 text"),
    (b"[]", "plan.json:1:1: is not an object"),
    (b"[" * 100_000, "plan.json:1:1: holds values that calgen never writes"),
    (b'{"format": NaN}', "plan.json:1:1: holds values that calgen never writes"),
    (b'{"format": ' + b"1" * 5000 + b"}", "plan.json:1:1: holds values that calgen never writes"),
])
def test_a_broken_file_is_told_with_its_place(data: bytes, message: str) -> None:
    with pytest.raises(InputError) as caught:
        read_plan_json(data, "plan.json")
    assert str(caught.value) == message + ADVICE


@given(st.data())
def test_no_damage_ends_in_anything_but_a_plan_or_a_message(data: st.DataObject) -> None:
    """Cut short, or with a few bytes overwritten, as after a crash or on a failing card."""
    good = SAMPLE
    at = data.draw(st.integers(0, len(good) - 1))
    bad = good[:at] + data.draw(st.binary(max_size=4)) + (good[at + 4:] if data.draw(st.booleans()) else b"")
    try:
        previous = read_plan_json(bad, "plan.json")
    except InputError:
        return
    assert all(job.uid and job.changed for job in previous.jobs)


def test_a_schedule_without_memory_is_refused(garden: Schedule) -> None:
    with pytest.raises(ValueError, match="no uid"):
        plan_json(garden)


def test_inputs_that_json_has_no_place_for_are_refused(garden_year: Schedule) -> None:
    with pytest.raises(ValueError, match="no place"):
        plan_json(replace(garden_year, inputs={"x": {1, 2}}))
    with pytest.raises(ValueError, match="JSON compliant"):
        plan_json(replace(garden_year, inputs={"x": float("nan")}))


SAMPLE = json.dumps({
    "format": 1, "site": "Tern Hill plots", "made": "2026-09-01", "inputs": {"caution": "1 in 5"}, "beds": [],
    "jobs": [{
        "uid": "13f323e1-0b88-50c2-a8b4-6225d39c54cd", "bed": "Long bed", "kind": "sow", "plants": ["rye"],
        "on": "2026-09-26", "from": "2026-09-26", "to": "2026-10-10", "latest": "2026-10-17", "slack_days": 14,
        "seed_g": {"rye": 110.0}, "title": "Sow rye", "text": "", "why": "", "revision": 3,
        "changed": "2026-09-01T00:00:00Z",
    }],
    "notes": [],
    "memory": {
        "plan": "5b1f9a5e-0c0e-5a43-9a5c-1f1f1e6b2d77", "jobs": {}, "silent": {"mulch": "2026-09-01"},
        "stamps": {"13f323e1-0b88-50c2-a8b4-6225d39c54cd": {
            "content": "ab", "revision": 3, "changed": "2026-09-01T00:00:00Z"}},
    },
}).encode()
