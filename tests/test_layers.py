"""The arrow of imports: geometry knows nobody, stages know geometry, faces know the plan."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import partline

ROOT = Path(partline.__file__).parent
MODULES = sorted(p for p in ROOT.rglob("*.py") if "sample_meshes" not in p.parts)
STAGES = ("scan", "stand", "detail", "air", "cut", "workshop", "card")
# What a stage may import of another stage: its nouns, and only of those before it.
NOUNS = {
    "partline.scan.master",
    "partline.stand.stand",
    "partline.detail.detail_map",
    "partline.air.cavity",
    "partline.air.trapped_air",
    "partline.cut.cut",
    "partline.workshop.container",
    "partline.job",
}
HEAVY = {
    "qtpy": ("faces/viewer/",),
    "PySide6": ("faces/viewer/",),
    "pyvistaqt": ("faces/viewer/",),
    "pyvista": ("faces/scene", "faces/drawing", "faces/picture", "faces/viewer/"),
    "vtk": ("faces/scene", "faces/picture", "faces/viewer/"),
    "vtkmodules": ("faces/scene", "faces/drawing", "faces/picture", "faces/viewer/"),
    "trimesh": ("scan/", "faces/export"),
}


def imports(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {a.name for a in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            found.add(node.module)
    return found


def place(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


@pytest.mark.parametrize("path", MODULES, ids=place)
def test_imports_follow_the_arrow(path: Path) -> None:
    where = place(path)
    own = [m for m in imports(path) if m.startswith("partline.")]
    top = where.split("/")[0]
    if top == "geometry":
        assert all(
            m.startswith(("partline.geometry", "partline.errors", "partline.progress")) for m in own
        ), own
    if top in STAGES:
        for module in own:
            other = module.split(".")[1]
            assert other not in ("plan", "planfile", "faces"), module
            if other in STAGES and other != top:
                assert module in NOUNS, f"{where} reaches into {module}"
    if not where.startswith("faces/"):
        assert not [m for m in own if m.startswith("partline.faces")], own


@pytest.mark.parametrize("path", MODULES, ids=place)
def test_heavy_libraries_stay_where_they_belong(path: Path) -> None:
    for module in imports(path):
        library = module.split(".")[0]
        if library in HEAVY:
            assert place(path).startswith(HEAVY[library]), f"{place(path)} imports {library}"


@pytest.mark.parametrize("path", MODULES, ids=place)
def test_modules_stay_small(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 400
    assert path.name not in ("utils.py", "helpers.py", "common.py")


@pytest.mark.parametrize("path", MODULES, ids=place)
def test_only_the_command_line_prints_or_exits(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    calls = [n for n in ast.walk(tree) if isinstance(n, ast.Call)]
    names = {ast.unparse(c.func) for c in calls}
    if place(path) != "faces/cli.py":
        assert "sys.exit" not in names or place(path) == "faces/picture.py"
        assert "print" not in names
