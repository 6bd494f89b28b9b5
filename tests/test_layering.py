"""The arrow outputs -> shapes -> layout, and no CAD kernel where it must not be."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
PACKAGES = ("layout", "shapes", "outputs")
FORBIDDEN = {
    "layout": {"shapes", "outputs", "cadquery", "OCP", "ezdxf", "reportlab", "typst", "click", "rich", "matplotlib"},
    "shapes": {"outputs", "ezdxf", "reportlab", "typst", "click", "rich", "matplotlib"},
    "outputs": {"matplotlib"},
}


def imported_roots(source: str) -> set[str]:
    """First names of everything a module imports, at its top or inside functions."""
    roots: set[str] = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            roots |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
            roots.add(node.module.split(".")[0])
    return roots


@pytest.mark.parametrize("package", PACKAGES)
def test_no_import_against_the_arrow(package: str) -> None:
    files = sorted((ROOT / package).rglob("*.py"))
    assert files
    wrong = {}
    for file in files:
        bad = imported_roots(file.read_text(encoding="utf-8")) & FORBIDDEN[package]
        if bad:
            wrong[file.relative_to(ROOT).as_posix()] = sorted(bad)
    assert wrong == {}


def test_the_walk_sees_imports_inside_functions() -> None:
    assert "OCP" in imported_roots("def f():\n    import OCP.gp\n")


@pytest.mark.parametrize("arguments", [["--help"], ["--version"], ["check", "no-such-job.toml"]])
def test_light_commands_do_not_import_the_kernel(arguments: list[str]) -> None:
    code = (
        "import sys\n"
        "from outputs.cli.commands import run\n"
        f"run({arguments!r})\n"
        "heavy = {'cadquery', 'OCP', 'vtk', 'vtkmodules', 'ortools', 'trimesh'} & set(sys.modules)\n"
        "sys.stderr.write('HEAVY ' + ' '.join(sorted(heavy)))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=True)
    assert done.stderr.rsplit("HEAVY", 1)[1].split() == []


def test_top_level_holds_nothing_else() -> None:
    allowed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "LICENSE", "layout", "shapes", "outputs", "tests"}
    tracked = subprocess.run(["git", "ls-files"], capture_output=True, text=True, cwd=ROOT, check=False)
    if tracked.returncode != 0:
        pytest.skip("not a git checkout")
    names = {line.split("/")[0] for line in tracked.stdout.splitlines()}
    assert {n for n in names if not n.startswith(".")} - allowed == set()
