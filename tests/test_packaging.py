"""What is installed is whole: data, templates, fonts with their licence, type marker; it runs elsewhere.

pip installs wheel and source archive into new environments, without a network: the dependencies are lent by the
environment that runs the tests. ``.ci/floors`` gets them from the package index instead, in their oldest versions.
"""

from __future__ import annotations

import email
import os
import re
import subprocess
import sys
import sysconfig
import tarfile
import tomllib
import venv
import zipfile
from importlib.util import find_spec
from pathlib import Path

import pytest
from calgen import __version__

ROOT = Path(__file__).parent.parent
NAMED = set(re.findall(r"\.ci/[a-z-]+", (ROOT / "DEVELOPERS.md").read_text("utf-8")))
"""Scripts that the handbook for developers tells to run."""
BUILD = "import sys; from hatchling.build import build_wheel, build_sdist; print({call}(sys.argv[1]))"
PIP = (sys.executable, "-m", "pip", "--disable-pip-version-check", "--no-cache-dir")
OFFLINE = ("--no-index", "--no-deps", "--no-build-isolation", "--ignore-installed")
CHECKOUT = "import sys; sys.path.insert(0, {root!r}); from calgen.cli import main; sys.exit(main())"

pytestmark = pytest.mark.skipif(find_spec("hatchling") is None, reason="hatchling is not installed")


def built(call: str, folder: Path) -> Path:
    """What hatchling builds of the checkout; no network, nothing installed."""
    run = subprocess.run([sys.executable, "-c", BUILD.format(call=call), str(folder)], cwd=ROOT, check=True,
                         capture_output=True, text=True)
    return folder / run.stdout.split()[-1]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return built("build_wheel", tmp_path_factory.mktemp("wheel"))


def test_the_wheel_carries_everything_that_is_read_at_run_time(wheel: Path) -> None:
    names = set(zipfile.ZipFile(wheel).namelist())
    package = ROOT / "calgen"
    ours = {f"calgen/{path.relative_to(package).as_posix()}" for path in package.rglob("*")
            if path.is_file() and "__pycache__" not in path.parts}
    templates = {f"calgen/templates/{path.name}" for path in (ROOT / "templates").iterdir()}
    assert ours <= names
    assert templates <= names
    assert "calgen/py.typed" in names


def test_every_font_travels_with_its_licence(wheel: Path) -> None:
    names = set(zipfile.ZipFile(wheel).namelist())
    fonts = {name for name in names if name.endswith((".ttf", ".otf"))}
    assert fonts
    for font in fonts:
        folder = font.rpartition("/")[0]
        family = font.rpartition("/")[2][:6]
        assert any(name.startswith(f"{folder}/{family}") and "LICENSE" in name for name in names), font


def test_the_wheel_holds_the_package_and_nothing_else(wheel: Path) -> None:
    names = zipfile.ZipFile(wheel).namelist()
    assert {name.split("/")[0].partition("-")[0] for name in names} == {"calgen"}
    assert not any(name.endswith((".pyc", ".diary.yaml")) or "__pycache__" in name for name in names)


def test_the_wheel_names_its_command_and_version(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        info = next(name for name in archive.namelist() if name.endswith("METADATA"))
        points = next(name for name in archive.namelist() if name.endswith("entry_points.txt"))
        about = email.message_from_bytes(archive.read(info))
        assert "calgen = calgen.cli:main" in archive.read(points).decode()
    assert about["Version"] == __version__


@pytest.fixture(scope="module")
def source(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return built("build_sdist", tmp_path_factory.mktemp("source"))


def installed(archive: Path, folder: Path) -> Path:
    """The programs of a new environment into which pip has installed an archive; calgen's dependencies are lent to it.

    Packages of its own come first on its path, so that it is this calgen that runs.
    """
    venv.create(folder)
    programs, scheme = folder / ("Scripts" if sys.platform == "win32" else "bin"), {"base": str(folder)}
    lent = Path(sysconfig.get_path("purelib", "venv", scheme)) / "lent.pth"
    lent.write_text("\n".join({sysconfig.get_path("purelib"), sysconfig.get_path("platlib")}), "utf-8")
    run = subprocess.run([*PIP, "--python", str(folder), "install", *OFFLINE, str(archive)], cwd=folder, check=False,
                         capture_output=True, text=True)
    assert run.returncode == 0, run.stdout + run.stderr
    return programs


def elsewhere(words: list[str], place: Path) -> str:
    """What a program says, run in a folder away from the checkout with nothing kept of the environment of the tests."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "VIRTUAL_ENV"))}
    run = subprocess.run(words, cwd=place, env={**kept, "XDG_CACHE_HOME": str(place / "cache")}, check=False,
                         capture_output=True, text=True)
    assert run.returncode == 0, run.stdout + run.stderr
    return run.stdout


@pytest.mark.skipif(find_spec("pip") is None, reason="pip is not installed")
@pytest.mark.parametrize("kind", ["wheel", "source"])
def test_installed_by_pip_it_runs_in_any_folder(kind: str, request: pytest.FixtureRequest, tmp_path: Path) -> None:
    """It checks, builds with the templates that it brought, and makes the same bytes as the checkout."""
    programs = installed(request.getfixturevalue(kind), tmp_path / "environment")
    place = tmp_path / "elsewhere"
    place.mkdir()
    (place / "withy-row.yaml").write_bytes((ROOT / "sites" / "withy-row.yaml").read_bytes())
    module = elsewhere([str(programs / "python"), "-c", "import calgen; print(calgen.__file__)"], place).strip()
    assert Path(module).is_relative_to(tmp_path)
    calgen = str(programs / "calgen")
    assert elsewhere([calgen, "--version"], place).split()[-1] == __version__
    assert "nothing wrong" in elsewhere([calgen, "check", "withy-row.yaml"], place)
    words = ["build", "withy-row.yaml", "--today", "2026-09-01", "--tile", "A4"]
    elsewhere([calgen, *words], place)
    elsewhere([sys.executable, "-c", CHECKOUT.format(root=str(ROOT)), *words, "--out", "checkout"], place)
    assert (place / "output" / "withy-row" / "wall-chart-tiles.pdf").exists()
    assert files(place / "output") == files(place / "checkout")


def files(folder: Path) -> dict[str, bytes]:
    """Everything made below a folder, without the note of what it was made from."""
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*")
            if path.is_file() and path.name != ".calgen-made"}


def test_the_source_archive_holds_all_to_build_and_test(source: Path) -> None:
    with tarfile.open(source) as found:
        names = {name.partition("/")[2] for name in found.getnames()}
    for needed in ("pyproject.toml", "README.md", "DEVELOPERS.md", "calgen/py.typed", "templates/wording-en.yaml",
                   "sites/withy-row.yaml", "tests/test_packaging.py", "output/README.md", *NAMED):
        assert needed in names
    assert not any("node_modules" in name or "__pycache__" in name for name in names)


def test_every_dependency_has_a_floor_that_can_be_tested() -> None:
    """Those of calgen and of the extras that growers ask for; one without is an error of the script."""
    run = subprocess.run([sys.executable, ROOT / ".ci" / "floors", "--print"], check=True, text=True,
                         stdout=subprocess.PIPE)
    names = {line.partition("==")[0] for line in run.stdout.splitlines()}
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    extras = project["optional-dependencies"]
    for one in (*project["dependencies"], *extras["serve"], *extras["cluster"], *extras["test"]):
        assert one.partition(">=")[0] in names
