"""``intake plan`` as a person types it: lines, files and exit codes."""

import json
from datetime import date
from pathlib import Path

import pytest

from intake.cli import plan_command
from intake.cli.main import main
from intake.cli.reading_options import settings_from
from intake.runner import plan_bench as module
from tests.changed import replace
from tests.simple_workbook import BAD_ROW, BATCH, CRACKED, FLAT, GOOD, UNKNOWN, write_workbook

DOCUMENTS = {"T-1-plan.json", "T-1-plan.pdf", "T-1-plan.xlsx"}


@pytest.fixture
def pallet(tmp_path) -> Path:
    return write_workbook(tmp_path / "pallet.xlsx", [GOOD, FLAT, CRACKED, UNKNOWN])


def plan(workbook, out, *more, stations="2"):
    return main(["plan", str(workbook), "--stations", stations, "--out", str(out), *more])


def document_of(out, batch="T-1"):
    return json.loads((out / f"{batch}-plan" / f"{batch}-plan.json").read_bytes())


def files_below(folder):
    return {file.relative_to(folder): file.read_bytes() for file in folder.rglob("*") if file.is_file()}


def test_a_workbook_gets_its_plan_and_code_0(pallet, tmp_path, capsys):
    assert 0 == plan(pallet, tmp_path / "out")

    printed = capsys.readouterr().out
    assert "T-1: 2 of 4 batteries on 2 stations, 0 only read, 2 with nothing to do" in printed
    assert "This plan finishes " in printed
    assert DOCUMENTS == {entry.name for entry in (tmp_path / "out" / "T-1-plan").iterdir()}
    assert ["T-1-plan"] == [entry.name for entry in (tmp_path / "out").iterdir()]


def test_without_a_folder_the_plan_goes_beside_the_workbook(pallet, tmp_path):
    assert 0 == main(["plan", str(pallet), "--stations", "2"])
    assert DOCUMENTS == {entry.name for entry in (tmp_path / "T-1-plan").iterdir()}


def test_the_work_begins_on_the_day_of_receipt_unless_it_is_told(pallet, tmp_path):
    assert 0 == plan(pallet, tmp_path / "out")
    assert "2026-06-05T08:00" == document_of(tmp_path / "out")["told"]["start"]

    assert 0 == plan(pallet, tmp_path / "out", "--overwrite", "--start", "2026-06-11")
    told = document_of(tmp_path / "out")["told"]
    assert ("2026-06-11T08:00", True) == (told["start"], told["start_was_given"])

    assert 0 == plan(pallet, tmp_path / "out", "--overwrite", "--start", "2026-06-11T13:30")
    assert "2026-06-11T13:30" == document_of(tmp_path / "out")["told"]["start"]


@pytest.mark.parametrize(
    ("today", "told"),
    [
        (date(2026, 6, 5), ""),
        (date(2026, 6, 6), "The plan starts before today. "),
        (date(2026, 7, 5), "The plan finishes before today. "),
    ],
)
def test_a_plan_in_the_past_is_warned_of_on_the_screen_alone(
    pallet, tmp_path, capsys, monkeypatch, today, told
):
    def settings_of_today(options):
        return replace(settings_from(options), today=today)

    monkeypatch.setattr(plan_command, "settings_from", settings_of_today)
    assert 0 == plan(pallet, tmp_path / "out")
    err = capsys.readouterr().err
    assert err.startswith(told) if told else err == ""
    assert (f"like --start {today}." in err) == bool(told)

    assert 0 == plan(pallet, tmp_path / "quiet", "--quiet")
    assert "" == capsys.readouterr().err
    assert files_below(tmp_path / "out") == files_below(tmp_path / "quiet")


def test_shifts_days_and_stations_are_those_that_were_told(pallet, tmp_path):
    more = ("--shift", "13:00-18:00", "--shift", "6:00-12:00", "--days", "mon,sat")
    assert 0 == plan(pallet, tmp_path / "out", *more, stations="1x5A:lead,1x20A:LFP:apart")

    document = document_of(tmp_path / "out")
    assert ["06:00-12:00", "13:00-18:00"] == document["told"]["shifts"]
    assert ["mon", "sat"] == document["told"]["days"]
    assert [("S1", 5, False), ("S2", 20, True)] == [
        (one["name"], one["current_a"], one["apart"]) for one in document["stations"]
    ]
    days = {task["start"][:10] for task in document["tasks"] if task["needs_person"]}
    assert {"2026-06-06"} <= days <= {"2026-06-06", "2026-06-08", "2026-06-13", "2026-06-15"}


def test_only_a_qualified_person_gets_suspect_ones(tmp_path):
    suspect = {
        "Tag": "L-1",
        "Chemistry": "LFP",
        "Case": "sound",
        "Rest voltage (V)": 0.4,
        "BMS reset tried": "no",
        "Rested (h)": 24,
        "Temperature (°C)": 20,
    }
    workbook = write_workbook(tmp_path / "pallet.xlsx", [GOOD, suspect])

    assert 0 == plan(workbook, tmp_path / "out")
    assert "--qualified" in document_of(tmp_path / "out")["held_back"][0]["reason"]
    assert 0 == plan(workbook, tmp_path / "out", "--qualified", "--overwrite")
    document = document_of(tmp_path / "out")
    assert [] == document["held_back"]
    assert {"marked place"} == {task["place"] for task in document["tasks"] if task["tag"] == "L-1"}


def test_a_hold_reading_in_the_workbook_counts_as_done(tmp_path):
    read = {**FLAT, "Hold start (V)": 12.9, "Hold start after (h)": 0.5, "Hold end (V)": 12.85}
    workbook = write_workbook(tmp_path / "pallet.xlsx", [{**read, "Hold end after (h)": 2}])

    assert 0 == plan(workbook, tmp_path / "out")
    assert ["settle", "read-long"] == [task["task"] for task in document_of(tmp_path / "out")["tasks"]]


@pytest.mark.parametrize(("cost", "said"), [(4.5, []), (40, ["B-2"])])
def test_where_the_work_is_not_worth_it_the_plan_says_so(tmp_path, cost, said):
    price = {
        "Chemistry": "flooded",
        "Resale price": 28,
        "Scrap price per kg": 0.6,
        "Recondition cost": cost,
        "Charge cost": 1.1,
        "Disposal cost": 0,
    }
    rows = [{**one, "Mass (kg)": 15} for one in (GOOD, FLAT)]
    workbook = write_workbook(tmp_path / "pallet.xlsx", rows, sheets={"Prices": [price]})

    assert 0 == plan(workbook, tmp_path / "out")
    batteries = document_of(tmp_path / "out")["batteries"]
    assert said == [one["tag"] for one in batteries if any("as scrap" in remark for remark in one["remarks"])]


def test_the_same_workbook_gives_the_same_bytes(pallet, tmp_path):
    assert 0 == plan(pallet, tmp_path / "one")
    assert 0 == plan(pallet, tmp_path / "two")

    assert files_below(tmp_path / "one") == files_below(tmp_path / "two")
    assert [] == list(tmp_path.rglob(".*"))


def test_an_existing_plan_gives_code_4_and_stays(pallet, tmp_path, capsys):
    assert 0 == plan(pallet, tmp_path / "out")
    before = files_below(tmp_path / "out")

    assert 4 == plan(pallet, tmp_path / "out", stations="1")

    assert "--overwrite" in capsys.readouterr().err
    assert before == files_below(tmp_path / "out")


def test_plan_and_grade_leave_each_others_documents_alone(pallet, tmp_path, capsys):
    out = tmp_path / "out"
    assert 0 == plan(pallet, out)
    assert 0 == main(["grade", str(pallet), "--out", str(out)])
    both = files_below(out)

    assert 0 == plan(pallet, out, "--overwrite")
    assert 0 == main(["grade", str(pallet), "--out", str(out), "--overwrite"])
    assert both == files_below(out)
    capsys.readouterr()
    assert 0 == main(["verify", str(out), "--workbooks", str(tmp_path)])
    assert "1 graded folder checked, 0 no longer standing" in capsys.readouterr().out


@pytest.mark.parametrize("overwrite", [(), ("--overwrite",)])
def test_a_batch_that_is_named_like_a_plan_never_takes_its_place(pallet, tmp_path, capsys, overwrite):
    out = tmp_path / "out"
    other = write_workbook(tmp_path / "other.xlsx", [GOOD], batch={**BATCH, "Batch": "T-1-plan"})
    assert 0 == plan(pallet, out)
    before = files_below(out)

    assert 4 == main(["grade", str(other), "--out", str(out), *overwrite])
    assert before == files_below(out)


@pytest.mark.parametrize("overwrite", [(), ("--overwrite",)])
def test_a_plan_never_takes_the_place_of_a_batch_that_is_named_like_it(pallet, tmp_path, overwrite):
    out = tmp_path / "out"
    other = write_workbook(tmp_path / "other.xlsx", [GOOD], batch={**BATCH, "Batch": "T-1-plan"})
    assert 0 == main(["grade", str(other), "--out", str(out)])
    before = files_below(out)

    assert 4 == plan(pallet, out, *overwrite)
    assert before == files_below(out)


def test_a_row_error_gives_code_1_and_names_the_cell(tmp_path, capsys):
    workbook = write_workbook(tmp_path / "flawed.xlsx", [GOOD, BAD_ROW])

    assert 1 == plan(workbook, tmp_path / "out")

    assert "Batteries!D3" in capsys.readouterr().out
    assert ["B-5"] == [one["tag"] for one in document_of(tmp_path / "out")["held_back"]]


def test_strict_turns_a_row_error_into_a_rejection(tmp_path, capsys):
    workbook = write_workbook(tmp_path / "flawed.xlsx", [GOOD, BAD_ROW])

    assert 3 == plan(workbook, tmp_path / "out", "--strict")

    assert "strict" in capsys.readouterr().out
    assert not (tmp_path / "out").exists()


def test_a_rejected_workbook_gives_code_3_and_nothing_is_written(tmp_path, capsys):
    workbook = write_workbook(tmp_path / "pallet.xlsx", batch={**BATCH, "Jurisdiction": "Atlantis"})

    assert 3 == plan(workbook, tmp_path / "out")

    assert "REJECTED" in capsys.readouterr().out
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("more", "stations", "said"),
    [
        ((), "banana", "'banana' was read as a group of stations"),
        ((), "0", "0 stations were read"),
        (("--shift", "8 to 5"), "2", "'8 to 5' was read as a shift"),
        (("--shift", "08:00-12:00", "--shift", "11:00-17:00"), "2", "overlap"),
        (("--days", "someday"), "2", "'someday' was read as days"),
        (("--shift", "08:00-08:01"), "2", "no shift is long enough"),
        (("--policy", "nowhere.json"), "2", "nowhere.json"),
    ],
)
def test_a_bench_that_can_not_be_read_is_wrong_usage_in_plain_words(
    pallet, tmp_path, capsys, more, stations, said
):
    assert 2 == plan(pallet, tmp_path / "out", *more, stations=stations)

    printed = capsys.readouterr()
    assert said in printed.err
    assert "" == printed.out
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("start", ["tomorrow", "2026-13-01", "2026-06-11T08:00+01:00", "26.11.2026"])
def test_a_start_that_can_not_be_read_is_wrong_usage(pallet, tmp_path, capsys, start):
    with pytest.raises(SystemExit) as ended:
        plan(pallet, tmp_path / "out", "--start", start)

    assert 2 == ended.value.code
    assert "expected a date like 2026-11-25" in capsys.readouterr().err


def test_a_target_that_can_not_be_written_gives_code_4_in_one_line(pallet, tmp_path, capsys):
    (tmp_path / "out").write_text("a file in the way", encoding="utf-8")

    assert 4 == plan(pallet, tmp_path / "out")
    assert 1 == len(capsys.readouterr().err.splitlines())


def test_a_fault_of_our_own_is_told_as_one(pallet, tmp_path, capsys, monkeypatch):
    monkeypatch.setattr(module, "plan_batch", lambda *_, **__: 1 / 0)

    assert 3 == plan(pallet, tmp_path / "out")
    assert "defect of intake" in capsys.readouterr().out


def test_quiet_prints_nothing_when_all_is_well(pallet, tmp_path, capsys):
    assert 0 == plan(pallet, tmp_path / "out", "--quiet")
    assert ("", "") == tuple(capsys.readouterr())


def test_json_prints_one_line(pallet, tmp_path, capsys):
    assert 0 == plan(pallet, tmp_path / "out", "--json")
    (line,) = capsys.readouterr().out.splitlines()
    told = json.loads(line)
    assert {"batch": "T-1", "ending": "written", "batteries": 2, "held_back": 2}.items() <= told.items()
    assert document_of(tmp_path / "out")["end"] == told["end"]

    assert 4 == plan(pallet, tmp_path / "out", "--json")
    told = json.loads(capsys.readouterr().out)
    assert ("not written", None, None) == (told["ending"], told["end"], told["folder"])
    assert "--overwrite" in told["problem"]


def test_letter_paper_is_drawn_and_told(pallet, tmp_path):
    assert 0 == plan(pallet, tmp_path / "out", "--paper", "letter")
    assert "letter" == document_of(tmp_path / "out")["told"]["paper"]
