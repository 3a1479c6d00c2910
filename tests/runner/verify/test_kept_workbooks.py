"""Where the workbook of a graded batch lies is looked for once, however many batches there are."""

from collections import Counter
from datetime import date

import pytest

from intake.cli.main import main
from intake.policy.grading_policy import load_grading_policy
from intake.runner.settings import Settings
from intake.runner.verify import kept_workbooks
from intake.runner.verify.find_batches import find_batches
from intake.runner.verify.kept_workbooks import Shelves
from intake.runner.verify.verify_batches import verify_batches
from tests.simple_workbook import BATCH, GOOD, write_workbook

SETTINGS = Settings(policy=load_grading_policy(), today=date(2026, 11, 25))
BATCHES = ("A", "B", "C")


@pytest.fixture
def yard(tmp_path):
    """Return a folder with three workbooks, and below it the documents of each, all renamed since."""
    for name in BATCHES:
        write_workbook(tmp_path / f"{name}.xlsx", [GOOD], batch={**BATCH, "Batch": name})
    assert 0 == main(["grade", str(tmp_path), "--out", str(tmp_path / "out"), "--quiet"])
    for name in BATCHES:
        (tmp_path / f"{name}.xlsx").rename(tmp_path / f"renamed-{name}.xlsx")
    return tmp_path


def test_each_folder_is_listed_once_and_each_workbook_read_once(yard, monkeypatch):
    asked: Counter[tuple[str, str]] = Counter()

    def counted(name):
        usual = getattr(kept_workbooks, name)

        def call(path, *rest, **more):
            asked[name, str(path)] += 1
            return usual(path, *rest, **more)

        monkeypatch.setattr(kept_workbooks, name, call)

    for name in ("find_workbooks", "digest_of", "first_look"):
        counted(name)
    checked = list(verify_batches(find_batches(yard / "out"), SETTINGS, workbooks=None))
    assert [f"renamed-{name}.xlsx" for name in BATCHES] == [one.workbook.name for one in checked]
    assert all(one.stands for one in checked)
    assert asked["find_workbooks", str(yard)] == asked["digest_of", str(yard / "renamed-A.xlsx")] == 1
    assert 1 == max(asked.values()), asked


@pytest.mark.parametrize("where", ["", "out", "out/A"])
def test_a_workbook_beside_or_above_is_found(yard, where):
    book = yard / "renamed-A.xlsx"
    moved = book.rename(yard / where / "moved.xlsx")
    found = Shelves(SETTINGS).beside(yard / "out" / "A").find(name="A.xlsx", digest="", batch="A")
    assert moved == found
    assert Shelves(SETTINGS).below(moved).find(name="A.xlsx", digest="", batch="A") == moved
