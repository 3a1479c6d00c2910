"""What a fresh interpreter loads: help and imports stay free of workbook, PDF and schema libraries."""

import json
import subprocess
import sys

import pytest

from tests.architecture.source import ROOT, imports_of, python_files

HEAVY = (
    "openpyxl",
    "xlsxwriter",
    "reportlab",
    "jsonschema",
    "jsonschema_rs",
    "dateutil",
    "rich",
    "numpy",
    "scipy",
    "pypdf",
    "distributed",
)

NOT_TO_GRADE = (
    "reportlab.platypus.paragraph",  # loads with any code that the library draws itself
    "reportlab.graphics.barcode.widgets",
    "multiprocessing",
    "concurrent.futures",
    "logging",
    "secrets",
    "jsonschema",
    "jsonschema_rs",
    "rich",
    "watchfiles",
    "distributed",
    "intake.model.load",
    "intake.model.plan",
    "intake.model.register",
    "intake.runner.workers.handed_out",
    "intake.workbook.blank",
    "intake.workbook.marked",
)
"""What one workbook goes to all its documents without: only a rare path needs it."""

WATCHED = """
import json, runpy, sys
sys.argv = {argv!r}
try:
    {action}
except SystemExit:
    pass
print("\\n" + json.dumps(sorted(sys.modules)))
"""


def loaded(action, *argv):
    """Run an action in a fresh interpreter and return what it printed and the modules that it loaded."""
    code = WATCHED.format(argv=["intake", *argv], action=action)
    done = subprocess.run(
        [sys.executable, "-I", "-c", f"import sys; sys.path.insert(0, {str(ROOT)!r})\n{code}"],
        capture_output=True,
        text=True,
        check=True,
        timeout=300,
    )
    return done.stdout, set(json.loads(done.stdout.splitlines()[-1]))


HELP = 'runpy.run_module("intake", run_name="__main__")'
GRADE = f'sys.modules["numpy"] = None; {HELP}'
"""Without a library that the users do not have, and that the workbook library loads where it is there."""


@pytest.mark.parametrize(
    ("action", "argv", "says"),
    [
        ("import intake", (), ""),
        (HELP, ("--help",), "usage: intake"),
        (HELP, ("grade", "--help"), "usage: intake grade"),
        ("import intake.grading.grade_battery", (), ""),
        ("import intake.policy.policy_file", (), ""),
    ],
    ids=["package", "help", "grade help", "grading", "policy file"],
)
def test_nothing_heavy_is_loaded(action, argv, says):
    printed, modules = loaded(action, *argv)
    assert says in printed
    assert "intake" in modules
    assert [] == [name for name in HEAVY if name in modules]


def test_a_heavy_library_would_be_seen():
    _, modules = loaded("import jsonschema")
    assert "jsonschema" in modules


def test_a_run_over_one_workbook_loads_nothing_that_only_a_rare_path_needs(tmp_path):
    book = ROOT / "example_batches" / "counter_returns_48" / "counter_returns_48.xlsx"
    printed, modules = loaded(GRADE, "grade", str(book), "--out", str(tmp_path))
    assert "48 batteries" in printed
    assert {"intake.report.labels.write", "reportlab.pdfgen.canvas", "openpyxl", "xlsxwriter"} <= modules
    assert [] == [name for name in NOT_TO_GRADE if name in modules]


def test_grading_needs_no_more_than_the_policy_to_load():
    """Pure functions: neither file nor log is within reach, and of the clock only spans of time."""
    reach = {
        one.module.split(".")[0]
        for path in python_files(ROOT / "intake" / "grading")
        for one in imports_of(path)
    }
    clock = (ROOT / "intake" / "grading" / "next_steps.py").read_text(encoding="utf-8")
    assert ["from datetime import timedelta"] == [line for line in clock.splitlines() if "datetime" in line]
    assert {
        "intake",
        "math",
        "collections",
        "statistics",
        "bisect",
        "typing",
        "datetime",
        "hashlib",
        "itertools",
    } == reach
