"""Subscribe links in their forms, with and without an address on the web."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import pytest
from calgen.render.page.subscribe import QUIET_MODULES, qr

if TYPE_CHECKING:
    from collections.abc import Callable

    from calgen.schedule.model import Schedule

BASE = "plots.example.org/tern-hill/feeds"


def reminders(tree: Any) -> Any:
    return next(part for part in tree.iter("section") if part.get("id") == "reminders")


def text_of(part: Any) -> str:
    return " ".join("".join(part.itertext()).split())


def codes(part: Any) -> list[str]:
    """What the QR codes within a part say, read by ZXing."""
    import zxingcpp
    from PIL import Image, ImageDraw

    found = []
    for drawing in part.iter("svg"):
        if drawing.get("class") != "qr":
            continue
        side = int(drawing.get("viewBox").split()[-1])
        picture = Image.new("L", (side * 4, side * 4), 255)
        draw = ImageDraw.Draw(picture)
        for x, y, length in re.findall(r"M(\d+) (\d+)h(\d+)v1h-\3z", drawing.find("path").get("d")):
            left, top = int(x) * 4, int(y) * 4
            draw.rectangle((left, top, left + int(length) * 4 - 1, top + 3), fill=0)
        read = zxingcpp.read_barcode(picture)
        found.append(read.text if read else "")
    return found


def test_all_jobs_have_a_link_a_code_an_address_and_a_download(plot: Schedule, page: Callable[..., Any]) -> None:
    forms = reminders(page(plot)).find("ul")
    links = [(link.get("href"), link.get("download") is not None) for link in forms.iter("a")]
    assert links == [(f"webcal://{BASE}/all.ics", False), (f"https://{BASE}/all.ics", False),
                     ("feeds/import.ics", True)]
    assert f"https://{BASE}/all.ics" in text_of(forms)
    assert codes(forms) == [f"webcal://{BASE}/all.ics"]
    assert all(part.get("aria-label") for part in forms.iter("svg"))


def test_each_kind_of_job_has_the_same_forms_in_a_fold(plot: Schedule, page: Callable[..., Any]) -> None:
    fold = reminders(page(plot)).find(".//details")
    kinds = ("sow", "undersow", "plant", "cut-down")
    assert codes(fold) == [f"webcal://{BASE}/{kind}.ics" for kind in kinds]
    assert [link.get("href") for link in fold.iter("a") if link.get("download") is not None] == [
        f"feeds/{kind}.ics" for kind in kinds]


def test_without_an_address_the_page_says_what_to_do_and_links_the_files_beside_it(
        plot_with: Callable[..., Schedule], page: Callable[..., Any]) -> None:
    part = reminders(page(plot_with(feed_address=None)))
    assert {link.get("href") for link in part.iter("a")} == {
        "feeds/import.ics", "feeds/sow.ics", "feeds/undersow.ics", "feeds/plant.ics", "feeds/cut-down.ics"}
    assert codes(part) == []
    text = text_of(part)
    for words in ("any web host", "feed-address: https://", "Google Calendar, Outlook on the web and Nextcloud",
                  "cannot reach it"):
        assert words in text


@pytest.mark.parametrize("address", ["http://192.168.1.5:8000/k3y/", "http://shed.local/"])
def test_an_address_at_home_names_the_services_that_cannot_reach_it(
        plot_with: Callable[..., Schedule], page: Callable[..., Any], address: str) -> None:
    text = text_of(reminders(page(plot_with(feed_address=address))))
    assert "works only inside your own network. Google Calendar, Outlook on the web and Nextcloud" in text
    assert "not encrypted" in text


def test_a_web_address_with_tls_has_no_such_warning(plot: Schedule, page: Callable[..., Any]) -> None:
    text = text_of(reminders(page(plot)))
    assert "own network" not in text
    assert "not encrypted" not in text


def test_an_import_is_told_to_get_its_own_calendar(plot: Schedule, page: Callable[..., Any]) -> None:
    assert "delete that calendar and import again" in text_of(reminders(page(plot)))


def test_an_address_that_is_no_web_address_is_not_linked(
        plot_with: Callable[..., Schedule], page: Callable[..., Any]) -> None:
    tree = page(plot_with(feed_address="javascript:alert(1)//all.ics"))
    assert not [link for link in tree.iter("a") if "javascript" in (link.get("href") or "")]


@pytest.mark.parametrize("text", [
    "webcal://example.org/feeds/all.ics", "webcal://example.org/" + "k3y" * 60 + "/feeds/all.ics"])
def test_a_code_has_its_light_margin_and_a_name(text: str) -> None:
    """ISO/IEC 18004, 5.3.8: four modules of quiet zone on every side."""
    markup = qr(text, 'code "a"')
    side = int(re.search(r'viewBox="0 0 (\d+) ', markup)[1])  # type: ignore[index]
    places = [(int(x), int(y), int(x) + int(length)) for x, y, length in re.findall(r"M(\d+) (\d+)h(\d+)v1", markup)]
    assert min(x for x, _, _ in places) == min(y for _, y, _ in places) == QUIET_MODULES == 4
    assert max(end for _, _, end in places) == max(y for _, y, _ in places) + 1 == side - 4
    assert 'role="img" aria-label="code &quot;a&quot;"' in markup
