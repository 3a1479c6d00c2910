"""Many workbooks: order, clashes of batch names, and a run that goes on where it stopped."""

import os
from datetime import date

import pytest

from intake.checks.cells.dates import DateOrder
from intake.cli.main import main
from intake.model.paper import Paper
from intake.policy.grading_policy import load_grading_policy
from intake.runner.grade_many import Ending, grade_many
from intake.runner.settings import Settings
from intake.runner.workers.processes import processes
from tests.changed import replace
from tests.simple_workbook import BAD_ROW, BATCH, CRACKED, FLAT, GOOD, write_workbook

SETTINGS = Settings(policy=load_grading_policy(), today=date(2026, 11, 25))


def book(folder, name, rows=(GOOD,), **batch):
    folder.mkdir(exist_ok=True)
    return write_workbook(folder / f"{name}.xlsx", rows, batch={**BATCH, "Batch": name, **batch})


def graded(paths, out, settings=SETTINGS, **options):
    return list(grade_many(paths, out, settings, **options))


def endings(outcomes):
    return [(one.batch or one.path.stem, one.ending) for one in outcomes]


def contents(folder):
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()
    }


class TestSeveralAtOnce:
    def test_two_processes_write_the_same_bytes_in_the_same_order_as_one(self, tmp_path):
        paths = [book(tmp_path / "in", name, [GOOD, FLAT, CRACKED]) for name in ("c", "a", "b")]
        one, two = (graded(paths, tmp_path / str(jobs), at=processes(jobs)) for jobs in (1, 2))
        assert ["c", "a", "b"] == [outcome.batch for outcome in one] == [outcome.batch for outcome in two]
        left = [{**contents(tmp_path / jobs), "SEASON-SHA256SUMS": b""} for jobs in "12"]
        assert left[0] == left[1]
        assert 22 == len(left[0])


class TestSameName:
    def test_both_are_named_and_neither_is_written(self, tmp_path):
        first, second = book(tmp_path, "a", Batch="P-1"), book(tmp_path, "b", Batch="p-1")
        other = book(tmp_path, "c")
        outcomes = graded([first, other, second], tmp_path / "out")

        assert [Ending.REJECTED, Ending.WRITTEN, Ending.REJECTED] == [one.ending for one in outcomes]
        assert "b.xlsx" in outcomes[0].findings[0].message
        assert "a.xlsx" in outcomes[2].findings[0].message
        assert ["SEASON-SHA256SUMS", "c"] == sorted(entry.name for entry in (tmp_path / "out").iterdir())

    def test_a_workbook_that_is_rejected_anyhow_stands_in_nobodys_way(self, tmp_path):
        sound, rejected = book(tmp_path, "a", Batch="P-1"), book(tmp_path, "b", Batch="P-1", Jurisdiction="?")
        assert [Ending.WRITTEN, Ending.REJECTED] == [
            one.ending for one in graded([sound, rejected], tmp_path / "out")
        ]


class TestGoingOn:
    @pytest.fixture
    def paths(self, tmp_path):
        return [book(tmp_path / "in", "a"), book(tmp_path / "in", "b", [GOOD, BAD_ROW])]

    def test_what_was_graded_is_left_alone_and_told_as_it_was(self, paths, tmp_path):
        out = tmp_path / "out"
        (first,) = graded(paths[1:], out)
        stamp = (out / "b" / "b-results.json").stat().st_mtime_ns
        outcomes = graded(paths, out, resume=True)

        assert [("a", Ending.WRITTEN), ("b", Ending.GRADED_ALREADY)] == endings(outcomes)
        assert stamp == (out / "b" / "b-results.json").stat().st_mtime_ns
        again = outcomes[1]
        assert (first.batteries, first.by_grade, first.row_errors) == (2, again.by_grade, 1)
        assert (again.batteries, again.row_errors, again.folder) == (2, 1, first.folder)

    def test_a_lone_workbook_of_a_folder_is_left_alone_too(self, paths, tmp_path):
        graded(paths[:1], tmp_path / "out")
        assert [("a", Ending.GRADED_ALREADY)] == endings(graded(paths[:1], tmp_path / "out", resume=True))

    def test_a_workbook_named_by_itself_is_in_the_way(self, paths, tmp_path):
        graded(paths[:1], tmp_path / "out")
        assert [("a", Ending.NOT_WRITTEN)] == endings(graded(paths[:1], tmp_path / "out"))

    def test_with_overwrite_it_is_written_again(self, paths, tmp_path):
        graded(paths, tmp_path / "out")
        outcomes = graded(paths, tmp_path / "out", replace(SETTINGS, overwrite=True), resume=True)
        assert [Ending.WRITTEN, Ending.WRITTEN] == [one.ending for one in outcomes]

    @pytest.mark.parametrize(
        "change",
        [
            {"paper": Paper.LETTER},
            {"date_order": DateOrder.MONTH_FIRST},
            {"policy": replace(SETTINGS.policy, sha256="0" * 64)},
        ],
        ids=lambda change: next(iter(change)),
    )
    def test_other_choices_are_no_reason_to_leave_it(self, paths, tmp_path, change):
        graded(paths[:1], tmp_path / "out")
        (again,) = graded(paths[:1], tmp_path / "out", replace(SETTINGS, **change), resume=True)
        assert Ending.NOT_WRITTEN is again.ending
        assert "--overwrite" in again.problem

    def test_changed_bytes_are_no_reason_to_leave_it(self, paths, tmp_path):
        graded(paths[:1], tmp_path / "out")
        book(tmp_path / "in", "a", [FLAT])
        (again,) = graded(paths[:1], tmp_path / "out", resume=True)
        assert Ending.NOT_WRITTEN is again.ending

    def test_another_version_is_no_reason_to_leave_it(self, paths, tmp_path, monkeypatch):
        graded(paths[:1], tmp_path / "out")
        monkeypatch.setattr("intake.runner.recorded_results.__version__", "another")
        (again,) = graded(paths[:1], tmp_path / "out", resume=True)
        assert Ending.NOT_WRITTEN is again.ending

    @pytest.mark.parametrize("name", ["results.json", "labels.pdf"])
    def test_a_lost_document_is_no_reason_to_leave_it(self, paths, tmp_path, name):
        graded(paths[:1], tmp_path / "out")
        (tmp_path / "out" / "a" / f"a-{name}").unlink()
        (again,) = graded(paths[:1], tmp_path / "out", resume=True)
        assert Ending.NOT_WRITTEN is again.ending

    @pytest.mark.parametrize("damage", [b"", b"{}", b"[]", b'{"run": 1'])
    def test_a_damaged_record_is_no_reason_to_leave_it(self, paths, tmp_path, damage):
        graded(paths[:1], tmp_path / "out")
        (tmp_path / "out" / "a" / "a-results.json").write_bytes(damage)
        (again,) = graded(paths[:1], tmp_path / "out", resume=True)
        assert Ending.NOT_WRITTEN is again.ending

    def test_a_strict_run_rejects_what_a_lenient_one_has_graded(self, paths, tmp_path):
        graded(paths, tmp_path / "out")
        outcomes = graded(paths, tmp_path / "out", replace(SETTINGS, strict=True), resume=True)
        assert [("a", Ending.GRADED_ALREADY), ("b", Ending.REJECTED)] == endings(outcomes)

    @pytest.mark.parametrize("found", [True, False])
    def test_what_a_killed_run_left_is_cleared_whether_that_batch_is_graded_again_or_not(
        self, paths, tmp_path, found
    ):
        stray = tmp_path / "out" / f".{'a' if found else 'z'}.00ff.partial"
        stray.mkdir(parents=True)
        graded(paths, tmp_path / "out")
        assert ["a", "b"] == sorted(entry.name for entry in (tmp_path / "out").iterdir() if entry.is_dir())

    def test_a_users_files_in_a_batch_are_named_and_stay(self, paths, tmp_path):
        graded(paths[:1], tmp_path / "out")
        (tmp_path / "out" / "a" / "a-input.xlsx").write_bytes(b"mine")
        (again,) = graded(paths[:1], tmp_path / "out", replace(SETTINGS, overwrite=True))
        assert (Ending.WRITTEN, ("a-input.xlsx",)) == (again.ending, again.carried)
        assert b"mine" == (tmp_path / "out" / "a" / "a-input.xlsx").read_bytes()

    def test_a_workbook_in_its_own_folder_survives_under_any_name(self, paths, tmp_path):
        graded(paths[:1], tmp_path / "out")
        folder = tmp_path / "out" / "a"
        for name, ending in (("a-input.xlsx", Ending.WRITTEN), ("a-results.xlsx", Ending.NOT_WRITTEN)):
            content = paths[0].read_bytes()
            (folder / name).write_bytes(content)
            (again,) = graded([folder / name], tmp_path / "out", replace(SETTINGS, overwrite=True))
            assert ending is again.ending
            assert content == (folder / name).read_bytes()


class TestSameBytes:
    def test_a_copy_is_graded_once_and_named(self, tmp_path):
        first = book(tmp_path, "a")
        copy = tmp_path / "copy of a.xlsx"
        copy.write_bytes(first.read_bytes())
        outcomes = graded([first, copy], tmp_path / "out")
        assert [Ending.WRITTEN, Ending.SAME_AS_ANOTHER] == [one.ending for one in outcomes]
        assert "a.xlsx; graded once" in outcomes[1].problem

    def test_one_workbook_under_two_paths_is_graded_once(self, tmp_path, capsys):
        first = book(tmp_path, "a")
        (tmp_path / "link.xlsx").symlink_to(first)
        paths = [
            str(first),
            str(tmp_path / "." / ".." / tmp_path.name / "a.xlsx"),
            str(tmp_path / "link.xlsx"),
        ]
        assert 0 == main(["grade", *paths, "--out", str(tmp_path / "out")])
        assert 1 == capsys.readouterr().out.count("documents in")

    def test_a_copy_of_a_workbook_that_clashes_with_another_changes_nothing(self, tmp_path):
        first, second = book(tmp_path, "a", Batch="P-1"), book(tmp_path, "b", [FLAT], Batch="P-1")
        copy = tmp_path / "c.xlsx"
        copy.write_bytes(first.read_bytes())
        endings = [one.ending for one in graded([first, second, copy], tmp_path / "out")]
        assert [Ending.REJECTED, Ending.REJECTED, Ending.SAME_AS_ANOTHER] == endings

    @pytest.mark.parametrize("content", [b'{"totals": 1e400}', b"[" * 100_000, b'{"a":1,"a":1}'])
    def test_a_hostile_record_stops_no_other_batch(self, tmp_path, content):
        paths = [book(tmp_path / "in", name) for name in "ab"]
        graded(paths, tmp_path / "out")
        (tmp_path / "out" / "a" / "a-results.json").write_bytes(content)
        outcomes = graded(paths, tmp_path / "out", resume=True)
        assert [Ending.NOT_WRITTEN, Ending.GRADED_ALREADY] == [one.ending for one in outcomes]

    def test_a_pipe_for_a_record_or_a_workbook_is_not_waited_for(self, tmp_path):
        paths = [book(tmp_path / "in", name) for name in "ab"]
        graded(paths, tmp_path / "out")
        record = tmp_path / "out" / "a" / "a-results.json"
        record.unlink()
        os.mkfifo(record)
        os.mkfifo(tmp_path / "in" / "c.xlsx")
        outcomes = graded([*paths, tmp_path / "in" / "c.xlsx"], tmp_path / "out", resume=True)
        assert [Ending.NOT_WRITTEN, Ending.GRADED_ALREADY, Ending.REJECTED] == [
            one.ending for one in outcomes
        ]
