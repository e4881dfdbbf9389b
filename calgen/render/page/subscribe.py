"""Links to the feeds: to subscribe on this device, by a phone's camera, by address, and to import once."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from calgen.render.page.address import ALL, FOLDER, feed_url, is_home, is_secure, webcal
from calgen.render.page.job_card import fold
from calgen.render.page.markup import Html, filled, joined, plain_filled, tag
from calgen.schedule.model import KINDS

if TYPE_CHECKING:
    from calgen.render.page.words import PageWords
    from calgen.schedule.model import Schedule

IMPORT: Final = "import.ics"
QUIET_MODULES: Final = 4  # ISO/IEC 18004, 5.3.8: the light margin around the code


def subscribe(schedule: Schedule, feeds: tuple[str, ...], words: PageWords) -> Html:
    """The feed of all jobs in every form, what to mind about its address, and the feeds by kind in a fold."""
    every = feed_url(schedule.feed_address, ALL)
    kinds = [kind for kind in KINDS if f"{kind}.ics" in feeds]
    return joined(
        tag("p", words.reminders_about), tag("p", words.alarms),
        _without_address(words) if every is None else _about(every, words),
        _forms(ALL, words.feed_all, schedule, feeds, words) if ALL in feeds else None,
        tag("div", fold(words.feeds_by_kind, tag("p", words.feeds_by_kind_about),
             *(joined(tag("h3", words.kinds[kind]), _forms(f"{kind}.ics", words.kinds[kind], schedule, feeds, words))
               for kind in kinds)), class_="by-kind") if kinds else None)


def _without_address(words: PageWords) -> Html:
    return joined(tag("p", words.no_address),
                  tag("ul", tag("li", words.no_address_import), tag("li", _typed(words.no_address_publish))),
                  tag("p", words.no_address_home))


def _about(url: str, words: PageWords) -> Html:
    texts = [words.home_address if is_home(url) else words.web_address]
    if not is_secure(url):
        texts.append(words.open_address)
    return joined(*(tag("p", text) for text in texts))


def _forms(file: str, feed: str, schedule: Schedule, feeds: tuple[str, ...], words: PageWords) -> Html:
    url = feed_url(schedule.feed_address, file)
    parts: list[Html] = []
    if url:
        label = plain_filled(words.by_code_label, feed=feed)
        link = tag("a", filled(words.by_phone_link, feed=feed), href=webcal(url), class_="button")
        parts += [
            _form(words.by_phone, tag("p", link),
                  tag("p", words.by_phone_about, class_="quiet")),
            _form(words.by_code, qr(webcal(url), label)),
            _form(words.by_paste, tag("p", tag("a", tag("code", url), href=url)),
                  tag("p", words.by_paste_about, class_="quiet")),
        ]
    once = IMPORT if file == ALL and IMPORT in feeds else file
    link = tag("a", filled(words.by_import_link, feed=feed), href=f"{FOLDER}/{once}", download=True, class_="button")
    parts.append(_form(words.by_import, tag("p", link), tag("p", words.by_import_about, class_="quiet")))
    return tag("ul", *parts, class_="forms")


def _form(title: str, *inside: Html) -> Html:
    return tag("li", tag("p", tag("strong", title)), *inside)


def qr(text: str, label: str) -> Html:
    """A QR code (ISO/IEC 18004, level M) as an inline drawing, dark on light in every colour scheme."""
    import segno  # noqa: PLC0415

    matrix = segno.make(text, error="m", micro=False, boost_error=False).matrix
    side = len(matrix) + 2 * QUIET_MODULES
    runs = "".join(_runs(bytes(row), number + QUIET_MODULES) for number, row in enumerate(matrix))
    return tag("svg", tag("rect", width=side, height=side, class_="qr-light"), tag("path", d=runs, class_="qr-dark"),
               class_="qr", viewBox=f"0 0 {side} {side}", role="img", aria_label=label)


def _runs(row: bytes, y: int) -> str:
    """The dark stretches of a row as a path of boxes one module high."""
    found, x = [], 0
    while x < len(row):
        end = x
        while end < len(row) and row[end]:
            end += 1
        if end > x:
            found.append(f"M{x + QUIET_MODULES} {y}h{end - x}v1h-{end - x}z")
        x = end + 1
    return "".join(found)


def _typed(text: str) -> Html:
    """A text with its parts between backquotes set as typed matter."""
    return joined(*(tag("code", part) if index % 2 else part for index, part in enumerate(text.split("`"))))
