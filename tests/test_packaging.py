"""What is installed is whole: data, templates, fonts with their licence, type marker; it runs elsewhere."""

from __future__ import annotations

import email
import os
import subprocess
import sys
import tarfile
import zipfile
from importlib.util import find_spec
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
BUILD = "import sys; from hatchling.build import build_wheel, build_sdist; print({call}(sys.argv[1]))"

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
    import calgen

    with zipfile.ZipFile(wheel) as archive:
        info = next(name for name in archive.namelist() if name.endswith("METADATA"))
        points = next(name for name in archive.namelist() if name.endswith("entry_points.txt"))
        about = email.message_from_bytes(archive.read(info))
        assert "calgen = calgen.cli:main" in archive.read(points).decode()
    assert about["Version"] == calgen.__version__


def test_it_runs_from_the_wheel_away_from_the_checkout(wheel: Path, tmp_path: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(tmp_path / "installed")
    place = tmp_path / "elsewhere"
    place.mkdir()
    (place / "plot.yaml").write_bytes((ROOT / "sites" / "withy-row.yaml").read_bytes())
    kept = {**os.environ, "PYTHONPATH": str(tmp_path / "installed"), "XDG_CACHE_HOME": str(tmp_path / "cache")}
    where = subprocess.run([sys.executable, "-c", "import calgen; print(calgen.__file__)"], cwd=place, env=kept,
                           check=True, capture_output=True, text=True)
    assert where.stdout.startswith(str(tmp_path))
    run = subprocess.run([sys.executable, "-m", "calgen", "build", "plot.yaml", "--today", "2026-09-01"], cwd=place,
                         env=kept, check=False, capture_output=True, text=True)
    assert run.returncode == 0, run.stderr
    assert (place / "output" / "plot" / "wall-chart.pdf").read_bytes().startswith(b"%PDF")


def test_the_source_archive_can_be_built_and_tested(tmp_path: Path) -> None:
    archive = built("build_sdist", tmp_path)
    with tarfile.open(archive) as found:
        names = {name.partition("/")[2] for name in found.getnames()}
    for needed in ("pyproject.toml", "README.md", "DEVELOPERS.md", "calgen/py.typed", "templates/wording-en.yaml",
                   "sites/withy-row.yaml", "tests/test_packaging.py"):
        assert needed in names
    assert not any("node_modules" in name or "__pycache__" in name for name in names)
