"""The page in headless Chromium: accessibility by axe-core, reflow, policy, keyboard, print, QR codes on the screen."""

from __future__ import annotations

import base64
import importlib.util
import io
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from calgen.render.page import page_html
from msgspec.structs import replace

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from calgen.schedule.model import Schedule

pytestmark = pytest.mark.interop
FLAGS = ("--headless=new", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
         "--disable-background-networking", "--disable-component-update", "--disable-sync", "--disable-dev-shm-usage")
WIDTHS = (320, 390, 820, 1280)  # WCAG 2.2, 1.4.10 asks for 320 CSS pixels; then a phone, a tablet, a laptop
SCHEMES = ("light", "dark")


def plot_module() -> Any:
    path = Path(__file__).parents[1] / "render" / "page" / "conftest.py"
    spec = importlib.util.spec_from_file_location("page_plot", path)
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


PLOT: Schedule = plot_module().PLOT
FEEDS: tuple[str, ...] = plot_module().FEEDS


class Browser:
    """A browser window of a given width and colour scheme."""

    def __init__(self, driver: Any, folder: Path) -> None:
        self.driver, self.folder = driver, folder

    def show(self, page: bytes, width: int = 1280, scheme: str = "light", media: str = "screen") -> None:
        """Load a page from a file."""
        (self.folder / "index.html").write_bytes(page)
        self.tell("Emulation.setDeviceMetricsOverride", width=width, height=900, deviceScaleFactor=1,
                  mobile=width < 600)
        self.tell("Emulation.setEmulatedMedia", media=media,
                  features=[{"name": "prefers-color-scheme", "value": scheme}])
        self.driver.get((self.folder / "index.html").as_uri())

    def tell(self, command: str, **arguments: Any) -> Any:
        return self.driver.execute_cdp_cmd(command, arguments)

    def ask(self, script: str, *arguments: Any) -> Any:
        return self.driver.execute_script(script, *arguments)

    def complaints(self) -> list[str]:
        return [entry["message"] for entry in self.driver.get_log("browser")]


@pytest.fixture(scope="module")
def windows() -> Iterator[list[Browser]]:
    """The one window of this module, once a test has opened it."""
    opened: list[Browser] = []
    yield opened
    for window in opened:
        window.driver.quit()


@pytest.fixture
def browser(windows: list[Browser], program: Callable[[str], str], python_module: Callable[[str], None],
            tmp_path_factory: pytest.TempPathFactory) -> Browser:
    if not windows:
        python_module("selenium")
        from selenium import webdriver
        from selenium.webdriver.chrome.service import Service

        options = webdriver.ChromeOptions()
        options.binary_location = program("chromium")
        for flag in (*FLAGS, f"--user-data-dir={tmp_path_factory.mktemp('profile')}"):
            options.add_argument(flag)
        options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
        driver = webdriver.Chrome(options=options, service=Service(program("chromedriver")))
        windows.append(Browser(driver, tmp_path_factory.mktemp("page")))
    return windows[0]


@pytest.fixture
def axe(node_modules: Callable[[str], Path]) -> str:
    """The script of axe-core."""
    return (node_modules("axe-core") / "axe-core" / "axe.min.js").read_text(encoding="utf-8")


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("width", [390, 1280])
def test_axe_core_finds_no_violation_with_all_folds_open(browser: Browser, axe: str, width: int, scheme: str) -> None:
    """axe-core: all its rules for WCAG 2.0 to 2.2 A and AA and its best practices."""
    browser.show(page_html(PLOT, FEEDS), width, scheme)
    browser.ask("document.querySelectorAll('details').forEach(part => { part.open = true; });")
    browser.ask(axe)
    result = browser.driver.execute_async_script("""
        const done = arguments[arguments.length - 1];
        const tags = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];
        axe.run(document, { runOnly: tags }).then(done, error => done({ error: String(error) }));""")
    assert "error" not in result
    assert len(result["passes"]) > 25
    assert [(rule["id"], [node["html"][:200] for node in rule["nodes"]]) for rule in result["violations"]] == []


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("language", ["en", "ar"])
def test_only_the_year_and_the_tables_scroll_sideways(browser: Browser, width: int, language: str) -> None:
    """WCAG 2.2, 1.4.10: no scrolling in two directions but for parts that need it."""
    address = "https://plots.example.org/" + "a-long-name-without-a-break" * 5 + "/"
    browser.show(page_html(replace(PLOT, language=language, feed_address=address), FEEDS), width)
    browser.ask("document.querySelectorAll('details').forEach(part => { part.open = true; });")
    shown, there = browser.ask("const page = document.documentElement; return [page.clientWidth, page.scrollWidth]")
    assert there == shown
    assert width - 20 <= shown <= width


@pytest.mark.parametrize("scheme", SCHEMES)
def test_the_policy_lets_the_style_in_and_says_nothing(browser: Browser, scheme: str) -> None:
    browser.complaints()
    browser.show(page_html(PLOT, FEEDS), scheme=scheme)
    ground = browser.ask("return getComputedStyle(document.body).backgroundColor")
    assert ground == {"light": "rgb(252, 251, 247)", "dark": "rgb(23, 26, 23)"}[scheme]
    assert browser.complaints() == []
    loaded = browser.ask("return performance.getEntriesByType('resource').map(entry => entry.name)")
    assert [name for name in loaded if not name.startswith("data:")] == []


def test_the_policy_stops_a_script_a_style_and_a_picture_that_got_in(browser: Browser) -> None:
    browser.complaints()
    smuggled = b"<script>window.ran = 1</script><style>body { color: red }</style><img src='http://127.0.0.1:9/x.png'>"
    browser.show(page_html(PLOT, FEEDS).replace(b"<h1>", smuggled + b"<h1>"))
    assert browser.ask("return window.ran === undefined")
    assert browser.ask("return getComputedStyle(document.body).color") == "rgb(32, 36, 31)"
    assert sum("Content Security Policy" in text for text in browser.complaints()) == 3


def test_names_in_bars_stay_within_them_and_within_the_strip(browser: Browser) -> None:
    browser.show(page_html(PLOT, FEEDS))
    outside = browser.ask("""
        const found = [];
        document.querySelectorAll('.strip g').forEach(group => {
            const bar = group.querySelector('path.b');
            if (!bar) return;
            const edge = bar.getBoundingClientRect();
            group.querySelectorAll('text').forEach(text => {
                const box = text.getBoundingClientRect();
                if (box.right > edge.right + 1 || box.left < edge.left - 1) found.push(text.textContent);
            });
        });
        return found;""")
    assert outside == []
    assert browser.ask("return document.querySelectorAll('.strip text.on').length") > 30


def test_words_in_the_head_do_not_touch_each_other(browser: Browser) -> None:
    browser.show(page_html(replace(PLOT, made=date(2027, 4, 20)), FEEDS))
    boxes = browser.ask("""
        return [...document.querySelectorAll('.head text')].map(part => part.getBoundingClientRect().toJSON());""")
    assert len(boxes) >= 27
    for index, one in enumerate(boxes):
        for other in boxes[index + 1:]:
            apart = one["right"] <= other["left"] or other["right"] <= one["left"] \
                or one["bottom"] <= other["top"] + 4 or other["bottom"] <= one["top"] + 4  # ascent and descent overlap
            assert apart


def test_bed_names_stay_in_view_while_the_year_is_scrolled(browser: Browser) -> None:
    browser.show(page_html(PLOT, FEEDS), 390)
    lefts = browser.ask("""
        const year = document.querySelector('.year');
        const names = [...document.querySelectorAll('.bed-name')];
        const left = () => names.map(name => name.getBoundingClientRect().left);
        const before = left();
        year.scrollLeft = 500;
        return [before, left(), year.scrollLeft];""")
    assert lefts[2] == 500
    assert lefts[0] == lefts[1]


def test_the_keyboard_meets_the_skip_link_first_and_sees_where_it_is(browser: Browser) -> None:
    from selenium.webdriver.common.keys import Keys

    browser.show(page_html(PLOT, FEEDS))
    browser.driver.switch_to.active_element.send_keys(Keys.TAB)
    state = browser.ask("""
        const at = document.activeElement, box = at.getBoundingClientRect(), style = getComputedStyle(at);
        return [at.getAttribute('href'), box.top >= 0 && box.left >= 0, parseFloat(style.outlineWidth),
                style.outlineStyle];""")
    assert state == ["#next", True, 3, "solid"]
    browser.driver.switch_to.active_element.send_keys(Keys.ENTER)
    browser.driver.switch_to.active_element.send_keys(Keys.TAB)
    assert browser.ask("return document.activeElement.closest('main') !== null")


def test_links_that_stand_alone_are_large_enough_to_touch(browser: Browser) -> None:
    """WCAG 2.2, 2.5.8: targets of at least 24 by 24 CSS pixels."""
    browser.show(page_html(PLOT, FEEDS), 390)
    small = browser.ask("""
        return [...document.querySelectorAll('nav a, .button, summary, .bed-name')].filter(part => {
            const box = part.getBoundingClientRect();
            return box.width && (box.height < 24 || box.width < 24);
        }).map(part => part.textContent);""")
    assert small == []


@pytest.mark.parametrize("scheme", SCHEMES)
def test_codes_can_be_read_from_the_screen(browser: Browser, scheme: str) -> None:
    """Read by ZXing from a picture of the screen."""
    import zxingcpp
    from PIL import Image

    browser.show(page_html(PLOT, FEEDS), 390, scheme)
    box = browser.ask("return document.querySelector('.qr').getBoundingClientRect().toJSON()")
    clip = {key: box[key] for key in ("x", "y", "width", "height")} | {"scale": 1}
    shot = browser.tell("Page.captureScreenshot", captureBeyondViewport=True, clip=clip)
    found = zxingcpp.read_barcode(Image.open(io.BytesIO(base64.b64decode(shot["data"]))).convert("L"))
    assert found
    assert found.text == "webcal://plots.example.org/tern-hill/feeds/all.ics"


def printed(browser: Browser) -> tuple[int, str]:
    """Number of pages on A4, and their text."""
    from pypdf import PdfReader

    data = browser.tell("Page.printToPDF", paperWidth=8.27, paperHeight=11.69, printBackground=False)["data"]
    pages = PdfReader(io.BytesIO(base64.b64decode(data))).pages
    return len(pages), " ".join(" ".join(page.extract_text() for page in pages).split())


def test_print_is_light_gives_the_next_jobs_in_full_and_of_the_rest_what_is_open(browser: Browser) -> None:
    browser.show(page_html(PLOT, FEEDS), scheme="dark", media="print")
    assert browser.ask("return getComputedStyle(document.body).color") == "rgb(32, 36, 31)"
    count, text = printed(browser)
    assert 4 <= count <= 12
    for words in ("Undersow white clover – North bed", "Hoe once more", "The leeks stand until March."):
        assert words in text
    assert "Gather seed of phacelia" not in text
    browser.ask("document.querySelectorAll('#jobs details').forEach(part => { part.open = true; });")
    assert "Gather seed of phacelia – North bed" in printed(browser)[1]


def test_the_page_is_as_readable_without_its_style_sheet(browser: Browser) -> None:
    """Order and words do not hang on the style: next jobs come before the year, the year before the beds."""
    page = page_html(PLOT, FEEDS).replace(b"style-src 'sha256-", b"style-src 'sha256-A")
    browser.show(page, 390)
    tops = browser.ask("return [...document.querySelectorAll('section')].map(part => part.getBoundingClientRect().top)")
    assert tops == sorted(tops)
    assert browser.ask("return document.body.innerText.includes('Undersow white clover')")
