"""The page as a whole: sound HTML, inert names, a strict policy, order, and the words that stand for the drawing."""

from __future__ import annotations

import base64
import hashlib
import os
import re
import subprocess
import sys
from collections import Counter
from datetime import date
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import pytest
from calgen.render.page import PageWords, page_html
from msgspec import Struct
from msgspec.structs import replace

if TYPE_CHECKING:
    from collections.abc import Callable

    from calgen.schedule.model import Schedule

HOSTILE = "</style></script><script>alert(1)</script><img src=x onerror=alert(1)>\"'>&lt;\u202e"
KINDS_OF_WORDS = {"kind", "does", "lane", "killed", "units", "level", "reminders", "language", "method", "season",
                  "feed_address"}


def with_texts(thing: Any, text: str) -> Any:
    """The same object with every free text replaced; dates, numbers and fixed choices stay."""
    if isinstance(thing, Struct):
        changed = {name: with_texts(getattr(thing, name), text) for name in thing.__struct_fields__
                   if name not in KINDS_OF_WORDS}
        return replace(thing, **changed)
    if isinstance(thing, tuple):
        return tuple(with_texts(part, text) for part in thing)
    if isinstance(thing, dict):
        return {key: with_texts(part, text) for key, part in thing.items()}
    return text if isinstance(thing, str) and thing else thing


def words_of(element: Any) -> str:
    return " ".join("".join(element.itertext()).split())


def section(tree: Any, anchor: str) -> Any:
    return next(part for part in tree.iter("section") if part.get("id") == anchor)


def test_the_same_schedule_gives_the_same_bytes(plot: Schedule, feed_names: tuple[str, ...]) -> None:
    assert page_html(plot, feed_names) == page_html(plot, feed_names)


def test_bytes_do_not_hang_on_the_seed_of_hashes(plot: Schedule, feed_names: tuple[str, ...]) -> None:
    program = ("import pickle, sys; from calgen.render.page import page_html; import hashlib;"
               "print(hashlib.sha256(page_html(*pickle.load(sys.stdin.buffer))).hexdigest())")
    import pickle

    data = pickle.dumps((plot, feed_names))
    found = {subprocess.run([sys.executable, "-c", program], input=data, capture_output=True, check=True,
                            env={**os.environ, "PYTHONHASHSEED": seed}).stdout for seed in ("1", "2")}
    assert found == {hashlib.sha256(page_html(plot, feed_names)).hexdigest().encode() + b"\n"}


def test_it_is_sound_html(plot: Schedule, page: Callable[..., Any]) -> None:
    """html5lib in strict mode: any parse error of the HTML standard raises."""
    tree = page(plot)
    assert tree.get("lang") == "en"
    ids = Counter(element.get("id") for element in tree.iter() if element.get("id"))
    assert max(ids.values()) == 1
    for element in tree.iter():
        for key in ("aria-labelledby", "aria-describedby"):
            assert all(part in ids for part in (element.get(key) or "").split())
        if (element.get("href") or "").startswith("#"):
            assert element.get("href")[1:] in ids
        for look in re.findall(r"url\(#([\w-]+)\)", element.get("fill") or ""):
            assert look in ids


def test_hostile_texts_change_no_element(plot: Schedule, page: Callable[..., Any]) -> None:
    benign, hostile = (page(with_texts(plot, text)) for text in ("x" * len(HOSTILE), HOSTILE))

    def skeleton(tree: Any) -> list[tuple[str, tuple[str, ...]]]:
        return [(part.tag, tuple(sorted(part.attrib))) for part in tree.iter() if part.tag != "text"]

    assert Counter(skeleton(benign)) == Counter(skeleton(hostile))
    assert not list(hostile.iter("script"))
    assert not list(hostile.iter("img"))
    assert HOSTILE in words_of(hostile.find(".//h1"))


def test_no_script_no_style_attribute_and_no_outside_resource(plot: Schedule, page: Callable[..., Any]) -> None:
    for element in page(plot).iter():
        assert element.tag not in ("script", "iframe", "object", "embed", "img", "form", "base", "audio", "video")
        for key, value in element.attrib.items():
            assert not str(key).startswith("on")
            assert key not in ("style", "src", "srcset", "action", "ping")
            if key == "href" and element.tag == "link":
                assert value.startswith("data:")
    assert "@import" not in (sheet := page(plot).find(".//style").text)
    assert "url(" not in sheet


def test_the_policy_allows_this_style_sheet_and_nothing_else(plot: Schedule, page: Callable[..., Any]) -> None:
    """Content Security Policy level 3, 2.3.1 (hash source: base64 of SHA-256 of the element's text) and 6.1."""
    tree = page(plot)
    policy = next(part.get("content") for part in tree.iter("meta")
                  if part.get("http-equiv") == "Content-Security-Policy")
    directives = dict(part.strip().split(" ", 1) for part in policy.split(";"))
    digest = base64.b64encode(hashlib.sha256(tree.find(".//style").text.encode()).digest()).decode()
    assert directives == {"default-src": "'none'", "style-src": f"'sha256-{digest}'", "img-src": "data:",
                          "base-uri": "'none'", "form-action": "'none'"}
    head = [part.tag if part.tag != "meta" else (part.get("http-equiv") or part.get("name") or "charset")
            for part in tree.find("head")]
    assert head.index("Content-Security-Policy") < head.index("style")


def test_headings_step_down_one_level_at_a_time_from_one_first(plot: Schedule, page: Callable[..., Any]) -> None:
    levels = [int(part.tag[1]) for part in page(plot).iter() if re.fullmatch("h[1-6]", str(part.tag))]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


def test_landmarks_and_the_skip_link_lead_to_the_jobs(plot: Schedule, page: Callable[..., Any]) -> None:
    body = page(plot).find("body")
    assert [part.tag for part in body] == ["a", "svg", "header", "main", "footer"]
    assert body[0].get("href") == "#next"
    assert body.find("header/nav").get("aria-label")
    assert body.find("main")[0].get("id") == "next"


def test_what_can_be_scrolled_sideways_can_be_reached_by_keyboard_and_has_a_name(
        plot: Schedule, page: Callable[..., Any]) -> None:
    """WCAG 2.2, 2.1.1: scrolling regions need the keyboard."""
    found = [part for part in page(plot).iter("div") if part.get("class") in ("year", "table")]
    assert len(found) == 4
    assert all((part.get("role"), part.get("tabindex")) == ("region", "0") and part.get("aria-label") for part in found)


def test_each_strip_says_in_words_what_it_draws(plot: Schedule, page: Callable[..., Any]) -> None:
    strips = [part for part in section(page(plot), "year").iter("svg") if part.get("class") == "strip"]
    head, *rows = strips
    assert all(strip.get("role") == "img" for strip in strips)
    for bed, row in zip(plot.beds, rows, strict=True):
        label = row.get("aria-label")
        assert label.startswith(bed.name)
        assert all(span.label.name in label for span in bed.spans)
    assert rows[2].get("aria-label") == (
        "Under the apple; north, wet: Broad bean, crop, until 5 September. Bare, 5 September to 12 September. "
        "White mustard, brassica cover, 12 September to 1 March; frost likely kills it from about 5 December. "
        "Bare, 1 March to 13 March. Parsnip, crop, from 13 March, on to 20 November 2027.")
    assert "First frost: 12 October to 27 October in half of all years" in head.get("aria-label")
    assert "4 October to 5 November in 8 years of 10" in head.get("aria-label")


def test_the_card_of_a_bed_gives_the_same_words_and_the_reasons(plot: Schedule, page: Callable[..., Any]) -> None:
    tree = page(plot)
    cards = list(section(tree, "beds").iter("article"))
    strips = [part for part in section(tree, "year").iter("svg") if part.get("class") == "strip"][1:]
    for bed, card, strip in zip(plot.beds, cards, strips, strict=True):
        text = words_of(card)
        spans = [words_of(part) for part in card.iter("li") if part.find("svg") is not None]
        assert len(spans) == len(bed.spans)
        assert strip.get("aria-label").removeprefix(f"{bed.name}: ").removesuffix(".") == ". ".join(spans)
        for advice in bed.advice:
            for part in (advice.headline, *advice.reasons, advice.runner_up, *advice.rejected, *advice.uncertain):
                assert part in text
        assert all(caution in text for caution in bed.cautions)
    assert "Nothing is planned here yet." in words_of(cards[-1])


def titles(part: Any) -> list[str]:
    return [words_of(strong) for strong in part.iter("strong")]


def test_next_are_the_open_jobs_of_three_weeks_from_the_day_of_making(
        plot: Schedule, page: Callable[..., Any]) -> None:
    assert titles(section(page(plot), "next")) == [
        "Clear broad bean – Under the apple; north, wet", "Order seed – cereal rye, hairy vetch, white mustard",
        "Undersow white clover – North bed", "Sow white mustard – Under the apple; north, wet"]


def test_every_job_stands_once_and_one_the_plan_dropped_nowhere(plot: Schedule, page: Callable[..., Any]) -> None:
    tree = page(plot)
    shown = Counter(titles(section(tree, "next")) + titles(section(tree, "jobs")))
    assert shown == Counter(job.title for job in plot.jobs if not job.kept)
    assert "Clear an old crop" not in words_of(tree.find("body"))


@pytest.mark.parametrize(("made", "text"), [
    (date(2027, 1, 10), "Nothing to do before 13 March 2027."), (date(2027, 12, 1), "No jobs are left in this plan.")])
def test_a_quiet_season_says_when_the_next_job_comes(
        plot_with: Callable[..., Schedule], page: Callable[..., Any], made: date, text: str) -> None:
    assert text in words_of(section(page(plot_with(made=made)), "next"))


def test_a_job_gives_day_bed_amount_window_and_last_safe_day(plot: Schedule, page: Callable[..., Any]) -> None:
    item = next(part for part in section(page(plot), "next").iter("li")
                if part.find(".//strong") is not None and "Undersow" in words_of(part.find(".//strong")))
    text = words_of(item)
    for part in ("Sat 5 Sept", "How much: white clover 18 g", "Window: 30 August to 13 September",
                 "Last safe day: Sun 13 Sept (frost ends this window)", "How: Hoe once more", "Why then: The next crop",
                 "Next: Look for bare patches"):
        assert part in text
    assert item.find(".//time").get("datetime") == "2026-09-05"
    assert [link.get("href") for link in item.iter("a")] == ["#bed-2"]


def test_tables_have_a_caption_and_heads_with_scope(plot: Schedule, page: Callable[..., Any]) -> None:
    tables = list(page(plot).iter("table"))
    assert [words_of(table.find("caption")) for table in tables] == ["Crops", "Covers", "Seed to have in hand"]
    for table in tables:
        assert {head.get("scope") for head in table.find("thead").iter("th")} == {"col"}
        for row in table.find("tbody").iter("tr"):
            assert [head.get("scope") for head in row.iter("th")] == ["row"]
            assert len(list(row)) == len(list(table.find("thead").iter("th")))


def test_seed_is_in_the_units_of_the_site(plot_with: Callable[..., Schedule], page: Callable[..., Any]) -> None:
    """1240 g are 2.7 lb and 19.8 g 0.70 oz (28.349523125 g an ounce: NIST Handbook 44, appendix C)."""
    metric, us = (words_of(section(page(plot_with(units=units)), "seed")) for units in ("metric", "us"))
    assert "Cereal rye1.2 kg26 Sept" in metric
    assert "White clover20 g5 Sept" in metric
    assert "Cereal rye2.7 lbSep 26" in us
    assert "White clover0.7 ozSep 5" in us
    assert "Tomatoas the packet says" in metric


def test_the_foundation_of_the_dates_is_told(plot: Schedule, page: Callable[..., Any]) -> None:
    text = words_of(section(page(plot), "dates"))
    for part in ("Made on1 September 2026", "Last frost of spring, as given28 April",
                 "Accepted loss to frost1 year in 5", "Last frost: 19 April to 6 May in half of all years, "
                 "10 April to 14 May in 8 years of 10, middle 28 April.", *plot.climate_words):
        assert part in text


def test_what_has_to_be_put_right_leads_the_notes(plot: Schedule, page: Callable[..., Any]) -> None:
    notes = [words_of(part) for part in section(page(plot), "notes").iter("li")]
    assert notes[0].startswith('To put right: tern-hill.yaml:44: bed "Empty bed"')
    assert len(notes) == 2


def test_the_page_does_not_tell_where_on_the_machine_the_site_file_lies(
        plot: Schedule, page: Callable[..., Any]) -> None:
    notes = words_of(section(page(plot), "notes"))
    assert "tern-hill.yaml:31" in notes
    assert "home" not in notes


def test_a_place_without_frost_and_an_empty_plan_make_a_page(
        plot_with: Callable[..., Schedule], page: Callable[..., Any]) -> None:
    bare = plot_with(beds=(), jobs=(), last_frosts=(), first_frosts=(), daylength_h=(), ten_hour=(), climate_words=(),
                     seeds=(), windows=(), notes=(), inputs={}, feed_address=None)
    tree = page(bare)
    assert "No frost to expect." in words_of(section(tree, "dates"))
    assert [part.get("id") for part in tree.iter("section")] == [
        "next", "year", "beds", "jobs", "reminders", "downloads", "dates", "notes"]


def test_another_language_brings_its_dates_its_words_and_its_direction(
        plot_with: Callable[..., Schedule], page: Callable[..., Any]) -> None:
    german = page(plot_with(language="de"), replace(PageWords(), next_jobs="Nächste Arbeiten", last_safe="Spätestens"))
    assert german.get("lang") == "de"
    text = words_of(section(german, "next"))
    assert text.startswith("Nächste Arbeiten")
    assert "Spätestens: So., 13. Sept." in text
    assert page(plot_with(language="ar")).get("dir") == "rtl"
    assert page(plot_with(language="xx-none")).get("dir") == "ltr"


def test_no_word_of_the_page_is_left_unfilled(plot: Schedule, page: Callable[..., Any]) -> None:
    assert not re.search(r"\{\w+\}", words_of(page(plot).find("body")))


def test_every_word_can_be_replaced(plot: Schedule, feed_names: tuple[str, ...]) -> None:
    """Each text field of the words shows on some page, so none is dead and none is fixed in the code."""
    marked = {name: f"§{name}§ {{site}}" if name == "title" else f"§{name}§"
              for name in PageWords.__struct_fields__ if isinstance(getattr(PageWords(), name), str)}
    words = replace(PageWords(), **marked)
    address = "http://shed.local/"
    variants = [plot, replace(plot, feed_address=None, notes=()), replace(plot, feed_address=address, units="us"),
                replace(plot, made=date(2026, 10, 20)), replace(plot, made=date(2027, 1, 10)),
                replace(plot, made=date(2028, 1, 1)), replace(plot, last_frosts=(), first_frosts=())]
    pages = [page_html(variant, feed_names, words).decode() for variant in variants]
    missing = {name for name in marked if not any(f"§{name}§" in text for text in pages)}
    only_inside_others = {"last_frost", "first_frost", "feed_all"}
    not_in_this_plot = {"killed_likely_undated", "killed_unsure_undated", "under"}
    assert missing == only_inside_others | not_in_this_plot
