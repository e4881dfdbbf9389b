"""Imports go one way: each stage may import only the stages before it."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "calgen"
ORDER = (
    "problems", "plainfile", "yamlfault", "yamlfile", "kept", "site", "climate", "knowledge", "planner", "schedule",
    "render", "guard", "lock", "output", "serve", "command", "cli", "__main__",
)
MODULES = sorted(PACKAGE.rglob("*.py"))


def stage(module: Path) -> str:
    """The stage a module belongs to."""
    return module.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imported(module: Path) -> set[str]:
    """The calgen stages a module imports."""
    found = set()
    for node in ast.walk(ast.parse(module.read_text("utf-8"))):
        names = []
        if isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{module}: write imports in full"
            names = [node.module or ""] if node.module != "calgen" else [f"calgen.{name.name}" for name in node.names]
        elif isinstance(node, ast.Import):
            names = [name.name for name in node.names]
        found |= {name.split(".")[1] for name in names if name.startswith("calgen.")}
    return found


@pytest.mark.parametrize("module", MODULES, ids=lambda module: str(module.relative_to(PACKAGE)))
def test_a_module_imports_only_earlier_stages(module: Path) -> None:
    own = stage(module)
    if own == "__init__":
        assert not imported(module)
        return
    allowed = set(ORDER[: ORDER.index(own) + 1]) | {"__version__"}
    assert imported(module) <= allowed


def test_renderers_do_not_ask_planner_or_climate() -> None:
    for module in MODULES:
        if stage(module) == "render":
            assert not imported(module) & {"planner", "climate", "knowledge", "site"}, module


@pytest.mark.parametrize("folder", ["climate", "knowledge", "planner", "schedule"])
def test_the_core_has_no_clock_no_chance_and_no_print(folder: str) -> None:
    for module in (PACKAGE / folder).rglob("*.py"):
        tree = ast.parse(module.read_text("utf-8"))
        calls = {ast.unparse(node.func) for node in ast.walk(tree) if isinstance(node, ast.Call)}
        assert not calls & {"print", "date.today", "datetime.now", "datetime.today", "time.time"}, module
        modules = {name.name for node in ast.walk(tree) if isinstance(node, ast.Import) for name in node.names}
        assert not modules & {"random", "secrets", "time"}, module
        opens_files = "open" in calls or any(call.endswith((".open", ".read_text", ".read_bytes")) for call in calls)
        assert not opens_files or module.name in ("read.py", "kept.py"), module


def test_modules_are_small() -> None:
    lengths = sorted(len(module.read_text("utf-8").splitlines()) for module in MODULES)
    assert lengths[-1] <= 400
    assert lengths[len(lengths) // 2] <= 150


def test_version_loads_no_heavy_library() -> None:
    heavy = {"yaml", "reportlab", "icalendar", "astral", "babel", "dateutil", "segno"}
    code = "import sys; from calgen.cli import main\ntry: main(['--version'])\nexcept SystemExit: pass\n" \
           f"print(sorted({heavy} & set(sys.modules)))"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.splitlines()[-1] == "[]"
