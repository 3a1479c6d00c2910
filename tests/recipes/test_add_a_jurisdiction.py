"""The steps of the guide, "Add a jurisdiction", in a copy of the project: one file, and all is green."""

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.simple_workbook import BATCH, CRACKED, GOOD, write_workbook

ROOT = Path(__file__).parents[2]
COPIED = ("intake", "schemas", "templates", "tests", "pyproject.toml")
NEW = {"key": "Ruritania", "name": "Ruritania", "order": 50, "synonyms": ["Kingdom of Ruritania"]}


def document():
    """Return the rule data of a country of fiction, made from those that claim least."""
    known_least = json.loads((ROOT / "templates/jurisdictions/other.json").read_text())
    return known_least | NEW


@pytest.fixture
def copy(tmp_path):
    left_out = shutil.ignore_patterns("__pycache__", ".*")
    for name in COPIED:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, tmp_path / "copy" / name, ignore=left_out)
        else:
            shutil.copy(source, tmp_path / "copy" / name)
    return tmp_path / "copy"


def run(copy, *arguments):
    return subprocess.run(
        [sys.executable, *arguments],
        cwd=copy,
        env={"PYTHONPATH": str(copy), "PATH": "/usr/bin:/bin"},
        capture_output=True,
        text=True,
        timeout=300,
    )


def test_a_jurisdiction_is_one_file(copy, tmp_path):
    (copy / "templates/jurisdictions/ruritania.json").write_text(json.dumps(document()))
    pallet = write_workbook(
        tmp_path / "pallet.xlsx", [GOOD, CRACKED], batch={**BATCH, "Jurisdiction": "kingdom of ruritania"}
    )

    tests = run(copy, "-m", "pytest", "-q", "-p", "no:cacheprovider", "tests/policy", "tests/compliance")
    graded = run(copy, "-m", "intake", "grade", str(pallet), "--out", str(tmp_path / "graded"))

    assert 0 == tests.returncode, tests.stdout[-2000:]
    assert 0 == graded.returncode, graded.stdout + graded.stderr
    results = json.loads((tmp_path / "graded/T-1/T-1-results.json").read_text())
    assert "Ruritania" == results["batch"]["jurisdiction"]
    assert "Reminders of the rules: Ruritania" == results["compliance"]["data_name"]
