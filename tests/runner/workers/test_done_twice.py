"""A workbook that is graded twice in one run: a process ended before it could say that it had done it."""

from concurrent.futures import Executor, Future
from datetime import date

import pytest

from intake.policy.grading_policy import load_grading_policy
from intake.runner import grade_many as grading
from intake.runner.grade_many import Ending, grade_many
from intake.runner.season_list import SEASON_LIST
from intake.runner.settings import Settings
from tests.simple_workbook import BAD_ROW, BATCH, FLAT, GOOD, write_workbook

SETTINGS = Settings(policy=load_grading_policy(), today=date(2026, 11, 25))


class Twice(Executor):
    """Does each piece of work, forgets what it gave, and does it again."""

    fewest = 1

    def open(self, _items):
        return self

    def ahead(self):
        return 3

    def submit(self, work, /, *args):
        work(*args)
        future: Future[object] = Future()
        future.set_result(work(*args))
        return future


@pytest.fixture
def books(tmp_path):
    return [
        write_workbook(tmp_path / "a.xlsx", [GOOD, BAD_ROW], batch={**BATCH, "Batch": "A"}),
        write_workbook(tmp_path / "b.xlsx", [FLAT], batch={**BATCH, "Batch": "B"}),
    ]


def lines(out):
    return sorted((out / SEASON_LIST).read_text(encoding="utf-8").splitlines())


def test_it_is_told_and_listed_as_if_done_once(tmp_path, books):
    once = list(grade_many(books, tmp_path / "out", SETTINGS))
    season = lines(tmp_path / "out")
    (tmp_path / "out").rename(tmp_path / "first")

    twice = list(grade_many(books, tmp_path / "out", SETTINGS, at=Twice()))

    assert [Ending.WRITTEN, Ending.WRITTEN] == [one.ending for one in twice]
    for one, again in zip(once, twice, strict=True):
        assert (one.batch, one.by_grade, one.folder, one.row_errors, one.carried) == (
            again.batch,
            again.by_grade,
            again.folder,
            again.row_errors,
            again.carried,
        )
        assert [(find.severity, find.cell, find.message, find.hint) for find in one.findings] == [
            (find.severity, find.cell, find.message, find.hint) for find in again.findings
        ]
    assert season == lines(tmp_path / "out")


def test_what_stood_before_the_run_is_in_the_way_as_ever(tmp_path, books):
    list(grade_many(books, tmp_path / "out", SETTINGS))
    again = list(grade_many(books, tmp_path / "out", SETTINGS, at=Twice()))
    assert [Ending.NOT_WRITTEN] * 2 == [one.ending for one in again]
    resumed = list(grade_many(books, tmp_path / "out", SETTINGS, at=Twice(), resume=True))
    assert [Ending.GRADED_ALREADY] * 2 == [one.ending for one in resumed]


def test_a_revision_is_made_once(tmp_path, books):
    list(grade_many(books, tmp_path / "out", SETTINGS))
    write_workbook(tmp_path / "b.xlsx", [GOOD], batch={**BATCH, "Batch": "B"})
    told = Settings(policy=SETTINGS.policy, today=SETTINGS.today, reason="second readings")

    outcomes = list(grade_many(books[1:], tmp_path / "out", told, at=Twice(), resume=True))

    assert [Ending.WRITTEN] == [one.ending for one in outcomes]
    assert ["1"] == [one.name for one in (tmp_path / "out" / "B" / "earlier").iterdir()]
    assert ["A\t1", "B\t1", "B\t2"] == [line.rpartition("\t")[0] for line in lines(tmp_path / "out")]


def test_another_worker_that_was_quicker_has_done_it(tmp_path, books, monkeypatch):
    read, calls = grading.read_safely, []

    def read_late(path, settings):
        if path.name == "b.xlsx" and not calls:
            calls.append(path)
            list(grade_many([path], tmp_path / "out", SETTINGS))
        return read(path, settings)

    monkeypatch.setattr(grading, "read_safely", read_late)
    outcomes = list(grade_many(books, tmp_path / "out", SETTINGS))
    assert [Ending.WRITTEN] * 2 == [one.ending for one in outcomes]
    assert ["A\t1", "B\t1"] == [line.rpartition("\t")[0] for line in lines(tmp_path / "out")]


def test_a_list_that_cannot_be_added_to_is_told_all_the_same(tmp_path, books):
    (tmp_path / "out" / SEASON_LIST).mkdir(parents=True)
    (outcome,) = grade_many(books[1:], tmp_path / "out", SETTINGS, resume=True)
    assert Ending.NOT_WRITTEN is outcome.ending
    assert "could not be added to" in outcome.problem
