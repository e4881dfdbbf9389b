"""The three demo sites, built as a grower would build them: everything is there, said in words, and twice the same."""

import json
from datetime import date
from itertools import pairwise
from pathlib import Path

import pytest
from calgen.cli import main
from calgen.command.load import Desk, desk
from calgen.site.model import CoverStep, CropStep

ROOT = Path(__file__).parent.parent
SITES = sorted(path for path in (ROOT / "sites").glob("*.yaml") if not path.name.endswith(".diary.yaml"))


@pytest.fixture(scope="module", params=SITES, ids=lambda path: path.stem)
def demo(request: pytest.FixtureRequest) -> Desk:
    """A demo site with everything laid out."""
    return desk(request.param)


@pytest.fixture(scope="module")
def built(demo: Desk, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The output folder of the demo."""
    out = tmp_path_factory.mktemp("out")
    assert main(["build", str(demo.path), "--out", str(out), "--today", "2026-09-01"]) == 0
    return out / demo.path.stem


def test_the_demos_are_what_the_readme_promises(demo: Desk) -> None:
    beds = demo.site.beds
    assert 8 <= len(beds) <= 14
    assert any(bed.size.pots for bed in beds)
    crops = [step for bed in beds for step in bed.order if isinstance(step, CropStep)]
    assert any(step.cleared for step in crops)
    assert any(not step.cleared for step in crops)
    assert any(step.companion for step in crops)
    among = [step for bed in beds for step in bed.order
             if (isinstance(step, CropStep) and (step.among or step.companion))
             or (isinstance(step, CoverStep) and step.how in ("undersown", "between-rows"))]
    assert len(among) >= 2


def test_a_demo_leaves_crops_to_choose() -> None:
    found = next(one for path in SITES if (one := desk(path)).site.wanted)
    chosen = [crop for bed in found.plan.beds for crop in bed.crops]
    assert len(chosen) >= 2
    assert all(crop.plant and len(crop.offers) > 1 for crop in chosen)


def test_every_file_is_made(built: Path) -> None:
    names = {str(path.relative_to(built)) for path in built.rglob("*") if path.is_file()}
    assert {"wall-chart.pdf", "sheets.pdf", "index.html", "plan.json", "feeds/all.ics", "feeds/import.ics"} <= names


def test_the_same_input_gives_the_same_bytes(demo: Desk, built: Path, tmp_path: Path) -> None:
    assert main(["build", str(demo.path), "--out", str(tmp_path), "--today", "2026-09-01"]) == 0
    for path in built.rglob("*"):
        if path.is_file() and not path.name.startswith("."):
            assert path.read_bytes() == (tmp_path / demo.path.stem / path.relative_to(built)).read_bytes(), path.name


def test_every_reason_has_its_sentence_and_every_sentence_its_facts(demo: Desk) -> None:
    reasons = [note.reason for note in demo.plan.notes]
    for bed in demo.plan.beds:
        reasons += [reason for crop in bed.crops for offer in crop.offers for reason in offer.reasons]
        reasons += [reason for timed in bed.tasks for reason in timed.why]
        for choice in bed.choices:
            reasons += [*choice.tried, *(reason for option in choice.ranking.options for reason in option.reasons),
                        *(reason for entry in choice.ranking.rejected for reason in entry.reasons)]
    for reason in reasons:
        for part in reason.key.split("|"):
            assert part in demo.wording.reasons, reason
            assert demo.wording.reasons[part].facts <= set(reason.facts), reason


def test_no_fact_is_left_out_of_a_job(demo: Desk) -> None:
    for job in demo.schedule(date(2026, 9, 1)).jobs:
        for text in (job.title, job.text, job.how, job.next_step):
            assert text or text is job.next_step, job
            assert "{" not in text
            assert "(sow last)" not in text, job
            assert not any(f"({fact})" in text for fact in ("bed", "covers", "crop", "seed", "ready", "next")), job


def test_spans_of_the_main_lane_meet_end_to_end(built: Path, demo: Desk) -> None:
    plan = json.loads((built / "plan.json").read_text("utf-8"))
    for bed in plan["beds"]:
        main_lane = [span for span in bed["spans"] if span.get("lane", "main") == "main"]
        for before, after in pairwise(main_lane):
            assert before["to"] == after["from"], (bed["name"], before, after)
        assert main_lane[0]["from"] <= demo.plan.start.isoformat()
        assert main_lane[-1]["to"] >= demo.plan.end.isoformat()


def test_a_job_lies_in_its_window_and_on_a_garden_day_where_one_fits(demo: Desk) -> None:
    days = demo.site.garden_days
    for job in demo.schedule(date(2026, 9, 1)).jobs:
        if job.kind == "order-seed":
            continue
        assert job.first <= job.on <= job.last, job
        window = [job.on + (date(2000, 1, 2) - date(2000, 1, 1)) * shift for shift in range(-6, 7)]
        fits = [day for day in window if job.first <= day <= job.last and day.weekday() in days]
        assert job.on.weekday() in days or not fits, job


def test_a_closed_window_is_mulched_and_an_impossible_order_is_told(demo: Desk) -> None:
    keys = {note.reason.key for note in demo.plan.notes}
    assert keys & {"note-too-late", "note-named-too-late"}
    assert keys & {"note-deadline-missed", "note-overlap-unready", "note-overlap-cleared", "note-never-starts",
                   "note-deadline-too-early"}
    mulched = [bed for bed in demo.plan.beds for choice in bed.choices
               if choice.chosen is None and not choice.slot.companion]
    assert mulched
    for bed in mulched:
        assert any(piece.kind == "mulch" for piece in bed.pieces)
        assert any(choice.tried for choice in bed.choices)
