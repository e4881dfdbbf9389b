"""German from end to end: complete, the same facts, and no English left in anything that is made."""

import html
import re
import shutil
from datetime import date
from pathlib import Path

import pytest
from calgen.cli import main
from calgen.climate.model import FrostDate
from calgen.climate.trust import of_averages, of_record, without_dates
from calgen.command.load import Desk, desk, template_bytes
from calgen.command.words import sections
from calgen.knowledge.read import read_knowledge
from calgen.schedule.wording import Wording, template
from calgen.schedule.wording_file import SECTIONS, missing, read_wording
from msgspec import Struct
from msgspec.structs import replace

ROOT = Path(__file__).parents[2]
TODAY = date(2026, 9, 1)


def wording(language: str, standard: Wording | None = None) -> Wording:
    """A shipped wording."""
    knowledge = read_knowledge()
    known = (*knowledge.crops, *knowledge.covers, *knowledge.mulches)
    return read_wording(*template_bytes(f"wording-{language}.yaml", None), standard, known, sections())


ENGLISH = wording("en")
GERMAN = wording("de", ENGLISH)


def test_english_stands_in_its_file_as_in_the_code() -> None:
    for section, words in ENGLISH.fixed.items():
        assert words == type(words)(), f"change templates/wording-en.yaml and the code of {section} together"
    left_out = [key for key in missing(ENGLISH, ENGLISH) if key.split(":")[0] not in SECTIONS]
    assert not left_out, f"write these into templates/wording-en.yaml: {left_out}"


def test_nothing_is_left_untranslated() -> None:
    assert missing(GERMAN, ENGLISH) == ()


@pytest.mark.parametrize("section", SECTIONS)
def test_sentences_tell_the_same_facts(section: str) -> None:
    english, german = getattr(ENGLISH, section), getattr(GERMAN, section)
    assert {key: text.facts for key, text in german.items()} == {key: text.facts for key, text in english.items()}


def test_fixed_words_hold_the_same_facts() -> None:
    def texts(words: Struct) -> dict[str, frozenset[str]]:
        found = {}
        for name in words.__struct_fields__:
            value = getattr(words, name)
            named = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, tuple) \
                else [("", value)]
            found |= {f"{name}.{key}": template(text).facts for key, text in named}
        return found

    for section, words in GERMAN.fixed.items():
        assert texts(words) == texts(ENGLISH.fixed[section]), section


def test_every_plant_has_a_name_and_a_short_one() -> None:
    knowledge = read_knowledge()
    plants = {*knowledge.crops, *knowledge.covers, *knowledge.mulches}
    assert set(GERMAN.plants) == set(GERMAN.short_plants) == set(GERMAN.plant_codes) == plants


def test_a_code_stands_for_one_plant() -> None:
    same = {"broad-bean": "broad-bean-spring", "miners-lettuce": "winter-purslane"}  # one plant as cover and as crop
    codes = {plant: code for plant, code in GERMAN.plant_codes.items() if plant not in same}
    assert len(set(codes.values())) == len(codes)


@pytest.mark.parametrize(("plant", "name"), [
    # Common German names beside the botanical ones. Source: from memory.
    ("phacelia", "Phazelia"), ("cereal-rye", "Winterroggen"), ("hairy-vetch", "Zottelwicke"),
    ("field-bean", "Ackerbohne"), ("white-mustard", "Weißer Senf"), ("crimson-clover", "Inkarnatklee"),
    ("berseem-clover", "Alexandrinerklee"), ("buckwheat", "Buchweizen"), ("leek", "Lauch"), ("swede", "Steckrübe"),
])
def test_plants_are_called_as_growers_call_them(plant: str, name: str) -> None:
    assert GERMAN.plants[plant] == name


def test_what_plants_bring_along_is_known() -> None:
    knowledge = read_knowledge()
    texts = [caution.text for plant in (*knowledge.crops.values(), *knowledge.covers.values())
             for caution in plant.cautions]
    texts += [mixture.why.text for mixture in knowledge.mixtures]
    for text in texts:
        assert GERMAN.said(text) != text, f"add this to told: {text}"


@pytest.mark.parametrize("other", ["", "winter-low: -6\n", "warmest-month: 17\n",
                                   "winter-low: -6\nwarmest-month: 17\n"])
@pytest.mark.parametrize("frost", ["frost: {last: 22 April, first: 4 November}\n", "frost: none\n",
                                   "frost: {last: 10 July, first: 25 July}\n"])
def test_what_the_climate_is_unsure_of_is_known(other: str, frost: str, tmp_path: Path) -> None:
    path = tmp_path / "plot.yaml"
    path.write_text(f"site: Plot\nlatitude: 52\nchart-starts: September 2026\n{frost}{other}"
                    "beds:\n  A:\n    size: 1 x 2 m\n    order: [{crop: leek, planted: 2026-06-20}]\n", "utf-8")
    _assert_known(desk(path))


def _assert_known(found: Desk) -> None:
    climate = found.climate
    low = replace(climate.winter_low, estimated=True)
    errors = [*climate.errors, *of_averages(found.site, 2, no_season=True, winter_low=low),
              *without_dates(found.site, 1, low, None)]
    errors += [*of_record(found.site, 12, FrostDate(0.0, 110.0, 12.0, 0.5), 15.0, 0.0),
               *of_record(found.site, 12, None, 0.0, 0.0)]
    for error in errors:
        for text in (error.what, error.size, *((error.remedy,) if error.remedy else ())):
            assert GERMAN.said(text) != text, f"add this to told: {text}"


def test_a_sentence_with_facts_is_found_again() -> None:
    english = "your own average dates are used; the record's are 12 days earlier in spring and the same in autumn"
    assert GERMAN.said(english) == ("deine eigenen mittleren Daten gelten; die der Aufzeichnung sind im Frühjahr "
                                    "12 Tage früher und im Herbst gleich")
    assert GERMAN.said("nobody knows this") == "nobody knows this"


@pytest.fixture(scope="module")
def garden(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo sites in German, one of them built."""
    folder = tmp_path_factory.mktemp("garten")
    for path in (ROOT / "sites").glob("*.yaml"):
        text = path.read_text("utf-8")
        # names of demo sites and beds are English; what calgen says about them must not be
        text = re.sub(r"^  ([A-Z][^:#\n]*):$", lambda found: f"  Beet {abs(hash(found[1])) % 10**6}:", text, flags=re.M)
        (folder / path.name).write_text(text.replace("\nsite:", "\nlanguage: de\nsite:", 1), "utf-8")
    assert main(["build", str(folder / "withy-row.yaml"), "--out", str(folder / "out"), "--today", f"{TODAY}"]) == 0
    return folder


ENGLISH_WORDS = frozenset((
    "the", "of", "and", "with", "from", "until", "is", "are", "it", "its", "for", "before", "after", "which", "no",
    "when", "that", "this", "by", "on", "where", "each", "your", "you", "at", "or", "be", "has", "seed", "sow", "sown",
    "cover", "crop", "bed", "beds", "day", "week", "frost-free", "clear", "cut", "look", "plant", "ground", "take",
    "care", "how", "why", "next", "done", "about", "between", "years", "spring", "autumn", "kills", "rows", "order"))
# What the grower's own file and other programs say is not translated: keys of site files, commands, names.
ALLOWED = re.compile(r"(- )?\b(cover|mulch|crop|order|among|frost|spread|last|first|winter-low|planted|sown): ?(choose|"
                     r"straw|yes|none)?|calgen\s+why|unter order|last und first|Withy Row|withy-row\.yaml|per URL")


def english_lines(text: str) -> list[str]:
    """Lines that hold words no German sentence has."""
    return [line for line in ALLOWED.sub("", text).splitlines()
            if ENGLISH_WORDS & set(re.findall(r"[A-Za-zÄÖÜäöüß]+", line.lower()))]


def test_the_search_for_english_finds_it() -> None:
    assert english_lines("Rake level, scatter half the seed.")
    assert english_lines("Winterroggen säen – Beet 1") == []


@pytest.mark.parametrize("site", ["withy-row", "kestrel-fork", "tussock-bight"])
def test_jobs_reasons_and_notes_are_german(site: str, garden: Path) -> None:
    schedule = desk(garden / f"{site}.yaml").schedule(TODAY)
    said = [text for job in schedule.jobs
            for text in (job.title, job.text, job.why, job.how, job.next_step, job.caution, job.quantity)]
    said += [text for bed in schedule.beds for span in bed.spans for text in (span.label.name, span.label.short)]
    said += [text for bed in schedule.beds for told in bed.advice
             for text in (told.headline, *told.reasons, told.runner_up, *told.rejected, *told.uncertain)]
    said += [row.why for row in schedule.windows]
    said += [*(note.text for note in schedule.notes), *schedule.climate_words]
    assert len(said) > 300
    assert english_lines("\n".join(said)) == []


def _page_text(page: str) -> str:
    body = re.sub(r"<style.*?</style>", "", page, flags=re.DOTALL)
    shown = re.sub(r"<[^>]+>", "\n", body)
    return html.unescape("\n".join([shown, *re.findall(r'(?:aria-label|title|alt)="([^"]*)"', body)]))


def _pdf_text(path: Path) -> str:
    from pypdf import PdfReader

    return "\n".join(page.extract_text() for page in PdfReader(path).pages)


def test_page_chart_sheets_and_feeds_are_german(garden: Path) -> None:
    out = garden / "out" / "withy-row"
    texts = {"page": _page_text((out / "index.html").read_text("utf-8")),
             "chart": _pdf_text(out / "wall-chart.pdf"), "sheets": _pdf_text(out / "sheets.pdf")}
    for path in (out / "feeds").glob("*.ics"):
        unfolded = path.read_bytes().replace(b"\r\n ", b"").decode("utf-8")
        texts[path.name] = "\n".join(line for line in unfolded.splitlines()
                                     if line.startswith(("SUMMARY", "DESCRIPTION", "X-WR-CAL", "NAME", "CATEGORIES")))
    assert len(texts) > 10
    assert {name: english_lines(text) for name, text in texts.items() if english_lines(text)} == {}
    assert 'lang="de"' in (out / "index.html").read_text("utf-8")
    assert "Letzter sicherer Tag" in texts["page"]
    assert "Letzter sicherer Tag: " in texts["all.ics"]
    assert "Frost (0 °C)" in texts["chart"]
    assert "Woche ab" in texts["sheets"]
    assert "Mi., 16. Sept." in texts["sheets"]  # a day stands in one line, though longer than in English


def test_dates_and_numbers_are_german(garden: Path) -> None:
    # DIN 1355 and CLDR: day with a full stop, month, year; decimal comma
    speaker = desk(garden / "withy-row.yaml").speaker
    assert speaker.day(date(2026, 10, 12)) == "12. Oktober"
    assert speaker.full_day(date(2027, 3, 1)) == "1. März 2027"
    assert speaker.shown("seed_g", 8.9) == "8,9 g"
    out = garden / "out" / "withy-row"
    assert re.search(r"\b\d{1,2}\. Oktober\b", (out / "index.html").read_text("utf-8"))
    assert re.search(r"\b\d{1,2}\. Oktober 2026\b", (out / "feeds" / "all.ics").read_bytes().decode("utf-8"))
    assert re.search(r"\b\d{1,2}\. (Sept|Okt)", _pdf_text(out / "sheets.pdf"))


def test_an_austrian_site_takes_the_german_wording_and_its_own_months(tmp_path: Path) -> None:
    # CLDR, de_AT: January is Jänner
    text = (ROOT / "sites" / "withy-row.yaml").read_text("utf-8")
    path = tmp_path / "plot.yaml"
    path.write_text(text.replace("\nsite:", "\nlanguage: de-AT\nsite:", 1), "utf-8")
    speaker = desk(path).speaker
    assert speaker.day(date(2027, 1, 5)) == "5. Jänner"
    assert speaker.job("look.text", {}).startswith("Ist die Saat")


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """A folder with the grower's copy of the German wording, and a German site beside it."""
    shutil.copy(ROOT / "templates" / "wording-de.yaml", tmp_path)
    text = (ROOT / "sites" / "withy-row.yaml").read_text("utf-8")
    (tmp_path / "plot.yaml").write_text(text.replace("\nsite:", "\nlanguage: de\nsite:", 1), "utf-8")
    return tmp_path


def _changed(own: Path, old: str, new: str) -> int:
    """Change the copy; returns the line that holds the change."""
    path = own / "wording-de.yaml"
    text = path.read_text("utf-8")
    assert text.count(old) == 1
    path.write_text(text.replace(old, new), "utf-8")
    return text[:text.index(old)].count("\n") + 1


@pytest.mark.parametrize(("old", "new", "what"), [
    ("  tile-ruler: ", "  tile-rular: ", 'chart: unknown key "tile-rular"; did you mean "tile-ruler"?'),
    ("  next-jobs: Nächste Aufgaben", "  next-jbos: Nächste",
     'page: unknown key "next-jbos"; did you mean "next-jobs"?'),
    ("    dead: abgefroren", "    deed: abgefroren", 'page: looks: unknown key "deed"; did you mean "dead"?'),
    ('"Zeitraum: {first} bis {last}"', '"Zeitraum: {first} bis {lasst}"',
     "has {lasst}, which is not known here; known: {first}, {last}"),
    ('"Letzter sicherer Tag: {day}"', '"Letzter sicherer Tag: {day"', "has a brace that is not closed"),
    ('"Saatgut: {quantity}"', '"Saatgut: {{{quantity}}}"', "has a doubled brace"),
    ("  every-bed: alle Beete", "  every-bed: [alle, Beete]", "expected one value, found a list"),
    ("  nothing-here: Hier ist noch nichts geplant.", "  nothing-here:", "has no value"),
    ("months: [Januar, Februar, ", "months: [Januar, ", "expected 12 texts, found 11"),
    ("months: [Januar, Februar, März, April, Mai, Juni, Juli, August, September, Oktober, November, Dezember]",
     "months: Januar", 'expected a list, found "Januar"'),
    ("  leek: [Lauch, Lauch, LCH]", "  leak: [Lauch, Lauch, LCH]", 'no plant here has this id; did you mean "leek"?'),
    ("  leek: [Lauch, Lauch, LCH]", "  leek: [Lauch, Gemüselauch]", "has more than 8 letters"),
    ("  leek: [Lauch, Lauch, LCH]", "  leek: [Lauch, Lauch, LAUC]", "has more than 3 letters"),
    ("  leek: [Lauch, Lauch, LCH]", "  leek: [Lauch, Lauch, LCH, L]", "expected a name, a short one and a code"),
    ("  climate-longer-record: ", "  climate-longer-recird: ", 'did you mean "climate-longer-record"?'),
    ("\nsheets:\n", "\nsheet:\n", 'unknown key "sheet"; did you mean "sheets"?'),
    ("Noch ein Gras nach {crop}", "Noch ein Gras nach {corp}", "{corp} is not known here; known: {crop}"),
])
def test_a_mistake_in_a_copy_is_told_with_its_line(old: str, new: str, what: str, own: Path,
                                                   capsys: pytest.CaptureFixture[str]) -> None:
    line = _changed(own, old, new) + old.startswith("\n")
    status = main(["build", str(own / "plot.yaml"), "--templates", str(own), "--out", str(own / "out")])
    told = capsys.readouterr().err
    assert status == 1
    assert re.search(rf"wording-de\.yaml:{line}:\d+: ", told), told
    assert what in told
    assert "Traceback" not in told
    assert not (own / "out").exists()


def test_all_mistakes_are_told_in_one_run(own: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _changed(own, "  tile-ruler: ", "  tile-rular: ")
    _changed(own, "  leek: [Lauch, Lauch, LCH]", "  leak: [Lauch, Lauch, LCH]")
    _changed(own, "Noch ein Gras nach {crop}", "Noch ein Gras nach {corp}")
    assert main(["check", str(own / "plot.yaml"), "--templates", str(own)]) == 1
    assert "3 problems" in capsys.readouterr().err


def test_a_copy_wins_and_what_it_leaves_out_is_english(own: Path) -> None:
    (own / "wording-de.yaml").write_text(
        "language: de\njobs: {look: {title: 'Nachsehen: {covers}'}}\nchart: {frost: Reif}\nfeed: {all-jobs: Alles}\n"
        "plants: {leek: Porree}\n", "utf-8")
    out = own / "out"
    assert main(["build", str(own / "plot.yaml"), "--templates", str(own), "--out", str(out),
                 "--today", f"{TODAY}"]) == 0
    feed = (out / "plot" / "feeds" / "all.ics").read_bytes().replace(b"\r\n ", b"").decode("utf-8")
    assert "– Alles" in feed
    assert "SUMMARY:Nachsehen: " in feed
    assert "Last safe day: " in feed
    assert "Porree" in feed
    assert "Reif" in _pdf_text(out / "plot" / "wall-chart.pdf")


def test_the_list_of_jobs_is_german(garden: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["jobs", str(garden / "withy-row.yaml"), "--from", "2026-09-01", "--to", "2026-10-31"]) == 0
    told = capsys.readouterr().out
    assert "Aufgaben vom 1. September 2026 bis 31. Oktober 2026" in told
    assert english_lines(told) == []


@pytest.mark.parametrize(("command", "said"), [
    (("jobs", "--from", "2026-09-01"), "Meine Woche"), (("when", "leek"), "Porree"), (("why", "Gate bed"), "Schau: "),
])
def test_every_command_takes_a_copy(command: tuple[str, ...], said: str, own: Path,
                                    capsys: pytest.CaptureFixture[str]) -> None:
    (own / "wording-de.yaml").write_text(
        "language: de\nwords: {headline-cleared: 'Schau: {covers}'}\njob-list: {week: 'Meine Woche {day}'}\n"
        "plants: {leek: Porree}\n", "utf-8")
    name, *rest = command
    assert main([name, str(own / "plot.yaml"), *rest, "--templates", str(own)]) == 0
    assert said in capsys.readouterr().out
