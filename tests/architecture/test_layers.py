"""The layout shows the flow: who may import whom, held against the syntax tree of every file."""

import sys
from pathlib import Path

import pytest

from tests.architecture.source import PACKAGE, ROOT, Import, imports_of, python_files, room_of

MIDDLE = ("workbook", "checks", "grading", "compliance", "bench", "worth", "register", "report")
PAPERS = ("manifest", "disposal", "resale", "labels", "plan", "register", "load", "pen_form", "start_page")
BELOW_RUNNER = (*MIDDLE, "policy", "model")
ALLOWED = {
    "": {"cli"},
    "cli": {"runner", *BELOW_RUNNER},
    "runner": set(BELOW_RUNNER),
    **{room: {"policy", "model"} for room in MIDDLE},
    "policy": {"model"},
    "model": set[str](),
}
"""Room and the rooms below it. The package's own two files start the command line, no more."""

INSIDE = {
    "workbook": {"reading": set[str](), "blank": set[str](), "marked": {"reading", "blank"}},
    "report": {
        "drawing": set[str](),
        "words": {"drawing"},
        "plots": {"drawing", "words"},
        **{paper: {"drawing", "words", "plots"} for paper in PAPERS},
        "xlsx": {"drawing", "words", "plan", "register"},
        "json": {"words", "register"},
    },
}
"""Divided room, and for each of its own rooms those it may import. One document never imports another."""
MOST_FILES = 24
"""Files in one room; a larger one is divided."""

THIRD_PARTY = {
    "openpyxl": {"workbook", "report"},
    "xlsxwriter": {"workbook", "report"},
    "reportlab": {"report"},
    "jsonschema": {"policy"},
    "jsonschema_rs": {"policy"},
    "dateutil": {"checks"},
    "watchfiles": {"runner"},
    "distributed": {"runner"},
    "rich": {"cli"},
}
"""Library and the rooms that may name it. pypdf, numpy and scipy stand in tests only."""

TODAY = {
    ("", "cli"),
    ("cli", "model"),
    ("cli", "policy"),
    ("cli", "runner"),
    ("runner", "compliance"),
    ("runner", "grading"),
    ("runner", "model"),
    ("runner", "policy"),
    ("compliance", "model"),
    ("compliance", "policy"),
    ("grading", "model"),
    ("grading", "policy"),
    ("workbook", "model"),
    ("policy", "model"),
}
"""Arrows that are known to exist: a check that no longer sees them checks nothing."""


def arrows(package: Path = PACKAGE, root: Path = ROOT) -> dict[tuple[str, str], Import]:
    """Return each arrow between two rooms with one import that draws it."""
    found: dict[tuple[str, str], Import] = {}
    for path in python_files(package):
        room = room_of(path, package)
        for one in imports_of(path, root):
            parts = one.module.split(".")
            if parts[0] != "intake" or len(parts) < 2:
                continue
            target = parts[1] if (package / parts[1]).is_dir() else ""
            if target not in ("", room):
                found.setdefault((room, target), one)
    return found


def forbidden(package: Path = PACKAGE, root: Path = ROOT) -> list[str]:
    """Name every arrow that points up or sideways, or from or to a room that is not in the table."""
    return [
        f"{one.file}:{one.line} in {room!r} imports {one.module}"
        for (room, target), one in arrows(package, root).items()
        if target not in ALLOWED.get(room, set())
    ]


def crossing(package: Path = PACKAGE, root: Path = ROOT) -> list[str]:
    """Name every import between the rooms inside a divided room that its table does not allow."""
    return [
        f"{one.file}:{one.line} imports {one.module}"
        for path in python_files(package)
        for one in imports_of(path, root)
        if (parts := one.module.split("."))[0] == "intake"
        and (room := room_of(path, package)) in INSIDE
        and parts[1:2] == [room]
        and (target := parts[2] if len(parts) > 2 else "")
        and (source := path.relative_to(package).parts[1]) != target
        and source in INSIDE[room]
        and target not in INSIDE[room][source]
    ]


def misplaced(package: Path = PACKAGE, root: Path = ROOT) -> list[str]:
    """Name every third-party import that stands where the table does not allow it."""
    return [
        f"{one.file}:{one.line} imports {one.module}"
        for path in python_files(package)
        for one in imports_of(path, root)
        if (library := one.module.split(".")[0]) not in sys.stdlib_module_names
        and library != "intake"
        and room_of(path, package) not in THIRD_PARTY.get(library, set())
    ]


def test_imports_point_downwards_only():
    assert [] == forbidden()


def test_imports_inside_a_divided_room_point_downwards_only():
    assert [] == crossing()


@pytest.mark.parametrize("room", INSIDE)
def test_every_part_of_a_divided_room_is_in_the_table(room):
    parts = {path.name for path in (PACKAGE / room).iterdir() if path.is_dir() and any(path.glob("*.py"))}
    assert parts == set(INSIDE[room])


def test_no_room_holds_more_than_two_dozen_files():
    folders = {path.parent for path in python_files()}
    held = {folder.relative_to(ROOT).as_posix(): len(list(folder.glob("*.py"))) for folder in folders}
    assert {} == {room: files for room, files in held.items() if files > MOST_FILES}


def test_every_room_is_in_the_table():
    rooms = {path.name for path in PACKAGE.iterdir() if path.is_dir() and any(path.glob("*.py"))}
    assert rooms <= set(ALLOWED)


def test_the_known_arrows_are_seen():
    assert set() == TODAY - set(arrows())


def test_third_party_libraries_stand_where_they_may():
    assert [] == misplaced()


def test_the_known_third_party_imports_are_seen():
    seen = {
        (room_of(path), one.module.split(".")[0])
        for path in python_files()
        for one in imports_of(path)
        if one.module.split(".")[0] in THIRD_PARTY
    }
    assert {("policy", "jsonschema"), ("cli", "rich")} <= seen


def test_every_room_says_what_it_holds():
    silent = [
        folder.relative_to(ROOT).as_posix()
        for folder in [PACKAGE, *PACKAGE.rglob("*")]
        if folder.is_dir()
        and any(folder.glob("*.py"))
        and not (folder / "__init__.py").read_text(encoding="utf-8").startswith('"""')
    ]
    assert [] == silent


def test_no_file_of_the_package_is_longer_than_400_lines():
    lengths = {path.name: len(path.read_text(encoding="utf-8").splitlines()) for path in python_files()}
    assert {} == {name: length for name, length in lengths.items() if length > 400}


@pytest.mark.parametrize(
    ("room", "text", "named"),
    [
        ("grading", "from intake.report.manifest.write import write_manifest", True),
        ("grading", "from intake.report import manifest_pdf", True),
        ("grading", "from intake import report", True),
        ("grading", "import intake.runner.settings", True),
        ("grading", "from ..checks import dates", True),
        ("grading", "from . import basis", False),
        ("grading", "from .basis import basis", False),
        ("grading", "def late():\n    from intake.checks.cells.dates import DateOrder", True),
        ("grading", "if True:\n    from intake.cli import main", True),
        ("grading", "import importlib\nimportlib.import_module('intake.report')", True),
        ("grading", "import importlib\nimportlib.import_module(f'intake.report.{name}')", True),
        ("cli", "from importlib import import_module\nimport_module(f'intake.cli.{name}')", False),
        ("model", "from intake.policy.cited import Status", True),
        ("policy", "from intake.grading.cited_sources import basis", True),
        ("checks", "from intake.workbook import read_workbook", True),
        ("runner", "from intake.cli.exit_codes import ExitCode", True),
        ("elsewhere", "from intake.model.battery import Battery", True),
        ("grading", "from intake.policy.cited import Status", False),
        ("runner", "from intake.report.manifest.write import write_manifest", False),
        ("cli", "from intake.checks.cells.dates import DateOrder", False),
        ("grading", "from intake import __version__", False),
    ],
)
def test_a_forbidden_arrow_in_a_made_up_package_is_named(tmp_path, room, text, named):
    for name in ("cli", "runner", *BELOW_RUNNER, "elsewhere"):
        (tmp_path / "intake" / name).mkdir(parents=True)
    (tmp_path / "intake" / room / "made_up.py").write_text(text, encoding="utf-8")
    assert named == bool(forbidden(tmp_path / "intake", tmp_path))


@pytest.mark.parametrize(
    ("place", "text", "named"),
    [
        ("report/manifest", "from intake.report.resale.content import sheets", True),
        ("report/manifest", "from intake.report.plots.voltages import voltage_panel", False),
        ("report/drawing", "from intake.report.words.battery import voltage_lines", True),
        ("report/words", "from intake.report.drawing.fonts import Face", False),
        ("report/json", "from intake.report.drawing.fonts import Face", True),
        ("workbook/reading", "from intake.workbook.marked import notes", True),
        ("workbook/marked", "def late():\n    from intake.workbook.reading import limits", False),
    ],
)
def test_a_crossing_inside_a_made_up_room_is_named(tmp_path, place, text, named):
    for room, parts in INSIDE.items():
        for part in parts:
            (tmp_path / "intake" / room / part).mkdir(parents=True)
    (tmp_path / "intake" / place / "made_up.py").write_text(text, encoding="utf-8")
    assert named == bool(crossing(tmp_path / "intake", tmp_path))


@pytest.mark.parametrize(
    ("room", "text", "named"),
    [
        ("grading", "import numpy", True),
        ("grading", "import scipy.stats", True),
        ("grading", "def late():\n    import jsonschema", True),
        ("report", "import pypdf", True),
        ("report", "import jsonschema", True),
        ("report", "from reportlab.lib import colors", False),
        ("runner", "import openpyxl", True),
        ("workbook", "import openpyxl", False),
        ("workbook", "import reportlab", True),
        ("policy", "import jsonschema", False),
        ("checks", "from dateutil import parser", False),
        ("cli", "from dateutil import parser", True),
        ("cli", "from rich.console import Console", False),
        ("runner", "import rich", True),
        ("", "import rich", True),
        ("model", "import json, math", False),
        ("cli", "import importlib\nimportlib.import_module(name)", True),
        ("cli", "__import__(f'{name}.tables')", True),
    ],
)
def test_a_misplaced_library_in_a_made_up_package_is_named(tmp_path, room, text, named):
    folder = tmp_path / "intake" / room
    folder.mkdir(parents=True)
    (folder / "made_up.py").write_text(text, encoding="utf-8")
    assert named == bool(misplaced(tmp_path / "intake", tmp_path))
