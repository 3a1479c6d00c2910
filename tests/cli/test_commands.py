"""The commands as a person types them: lines, files and exit codes."""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

from intake import __version__
from intake.cli.main import main
from intake.model.rules import Rule
from tests.simple_workbook import BAD_ROW, BATCH, CRACKED, FLAT, GOOD, UNKNOWN, write_workbook


@pytest.fixture
def pallet(tmp_path) -> Path:
    return write_workbook(tmp_path / "pallet.xlsx", [GOOD, FLAT, CRACKED, UNKNOWN])


@pytest.fixture
def flawed(tmp_path) -> Path:
    return write_workbook(tmp_path / "flawed.xlsx", [GOOD, BAD_ROW], batch={**BATCH, "Batch": "T-2"})


@pytest.fixture
def rejected(tmp_path) -> Path:
    return write_workbook(tmp_path / "rejected.xlsx", batch={**BATCH, "Jurisdiction": "Atlantis"})


def no_leftovers(folder: Path) -> bool:
    return not list(folder.rglob(".*"))


class TestGrade:
    def test_a_clean_workbook_gets_its_documents_and_code_0(self, pallet, tmp_path, capsys):
        code = main(["grade", str(pallet), "--out", str(tmp_path / "out")])

        printed = capsys.readouterr().out
        assert 0 == code
        assert "4 batteries: 1 resale-after-charge, 1 reconditionable, 1 recycle, 1 unresolved" in printed
        names = {entry.name for entry in (tmp_path / "out" / "T-1").iterdir()}
        documents = "results.json results.xlsx manifest.pdf disposal.pdf resale.pdf labels.pdf"
        assert {*(f"T-1-{document}" for document in documents.split()), "SHA256SUMS"} == names

    def test_a_row_error_gives_code_1_and_the_rest_is_graded(self, flawed, tmp_path, capsys):
        code = main(["grade", str(flawed), "--out", str(tmp_path / "out")])

        printed = capsys.readouterr().out
        assert 1 == code
        assert "1 resale-after-charge" in printed
        assert "1 unresolved" in printed
        assert "Batteries!D3" in printed

    def test_strict_turns_a_row_error_into_a_rejection(self, flawed, tmp_path, capsys):
        code = main(["grade", str(flawed), "--out", str(tmp_path / "out"), "--strict"])

        assert 3 == code
        assert "strict" in capsys.readouterr().out
        assert not (tmp_path / "out" / "T-2").exists()

    def test_a_rejected_workbook_gives_code_3_and_does_not_stop_the_others(
        self, rejected, pallet, tmp_path, capsys
    ):
        code = main(["grade", str(rejected), str(pallet), "--out", str(tmp_path / "out")])

        printed = capsys.readouterr().out
        assert 3 == code
        assert "REJECTED" in printed
        assert "Atlantis" in printed
        assert ["SEASON-SHA256SUMS", "T-1"] == sorted(entry.name for entry in (tmp_path / "out").iterdir())

    def test_existing_documents_give_code_4_and_stay(self, pallet, tmp_path, capsys):
        arguments = ["grade", str(pallet), "--out", str(tmp_path / "out")]
        assert 0 == main(arguments)
        before = (tmp_path / "out" / "T-1" / "T-1-results.json").stat().st_mtime_ns

        assert 4 == main(arguments)

        assert "--overwrite" in capsys.readouterr().err
        assert before == (tmp_path / "out" / "T-1" / "T-1-results.json").stat().st_mtime_ns

    def test_overwrite_replaces_them_with_the_same_bytes(self, pallet, tmp_path):
        arguments = ["grade", str(pallet), "--out", str(tmp_path / "out"), "--overwrite"]
        assert 0 == main(arguments)
        first = {entry.name: entry.read_bytes() for entry in (tmp_path / "out" / "T-1").iterdir()}
        assert 0 == main(arguments)

        second = {entry.name: entry.read_bytes() for entry in (tmp_path / "out" / "T-1").iterdir()}
        assert first == second
        assert no_leftovers(tmp_path / "out")

    def test_a_target_that_can_not_be_written_gives_code_4_in_one_line(self, pallet, tmp_path, capsys):
        (tmp_path / "out").write_text("a file in the way", encoding="utf-8")

        code = main(["grade", str(pallet), "--out", str(tmp_path / "out")])

        assert 4 == code
        assert 1 == len(capsys.readouterr().err.splitlines())

    def test_two_workbooks_of_one_batch_name_are_both_rejected(self, pallet, tmp_path, capsys):
        other = write_workbook(tmp_path / "other.xlsx", [GOOD])

        code = main(["grade", str(pallet), str(other), "--out", str(tmp_path / "out")])

        printed = capsys.readouterr().out
        assert 3 == code
        assert 2 == printed.count("REJECTED")
        assert "other.xlsx" in printed
        assert not (tmp_path / "out").exists()

    def test_a_folder_is_graded_on_two_processes_as_on_one(self, pallet, flawed, tmp_path, capsys):
        (tmp_path / "~$pallet.xlsx").write_bytes(b"lock file of a spreadsheet program")
        assert 1 == main(["grade", str(tmp_path), "--out", str(tmp_path / "one")])
        assert 1 == main(["grade", str(tmp_path), "--out", str(tmp_path / "two"), "--jobs", "2"])

        one, two = (
            {str(file.relative_to(root)): file.read_bytes() for file in root.rglob("*") if file.is_file()}
            for root in (tmp_path / "one", tmp_path / "two")
        )
        lists = [sorted(root.pop("SEASON-SHA256SUMS").splitlines()) for root in (one, two)]
        assert one == two
        assert lists[0] == lists[1]  # in the order in which they were written
        assert 14 == len(one)

    def test_a_folder_graded_again_is_left_as_it_stands_with_the_same_code(
        self, pallet, flawed, tmp_path, capsys
    ):
        folder = tmp_path / "in"
        for book in (pallet, flawed):
            (folder / book.stem).mkdir(parents=True)
            book.rename(folder / book.stem / book.name)
        run = ["grade", str(folder), "--recursive", "--out", str(folder / "graded")]
        codes = [main(run), main(run)]
        first, second = capsys.readouterr().out.split("2 workbooks")[:2]

        assert [1, 1] == codes
        assert "graded already" not in first
        assert 4 == second.count("graded already")  # a line for each, and a row of the table for each

    def test_a_folder_with_workbooks_below_it_only_is_wrong_usage_without_recursive(
        self, pallet, tmp_path, capsys
    ):
        (tmp_path / "in" / "below").mkdir(parents=True)
        pallet.rename(tmp_path / "in" / "below" / pallet.name)
        assert 2 == main(["grade", str(tmp_path / "in"), "--out", str(tmp_path / "out")])
        assert 0 == main(["grade", str(tmp_path / "in"), "--out", str(tmp_path / "out"), "--recursive"])

    def test_json_prints_one_line_for_each_workbook(self, pallet, tmp_path, capsys):
        main(["grade", str(pallet), "--out", str(tmp_path / "out"), "--json"])

        (line,) = capsys.readouterr().out.splitlines()
        assert {"batch": "T-1", "ending": "written"}.items() <= json.loads(line).items()

    def test_quiet_prints_nothing_when_all_is_well(self, pallet, tmp_path, capsys):
        assert 0 == main(["grade", str(pallet), "--out", str(tmp_path / "out"), "--quiet"])

        assert ("", "") == tuple(capsys.readouterr())

    def test_a_missing_workbook_is_a_rejection_in_plain_words(self, tmp_path, capsys):
        code = main(["grade", str(tmp_path / "nowhere.xlsx"), "--out", str(tmp_path / "out")])

        assert 3 == code
        assert "nowhere.xlsx" in capsys.readouterr().out

    def test_a_folder_without_workbooks_is_wrong_usage(self, tmp_path, capsys):
        (tmp_path / "empty").mkdir()

        assert 2 == main(["grade", str(tmp_path / "empty"), "--out", str(tmp_path / "out")])
        assert "holds no .xlsx" in capsys.readouterr().err

    def test_letter_paper_gives_letter_pages(self, pallet, tmp_path):
        from pypdf import PdfReader

        assert 0 == main(["grade", str(pallet), "--out", str(tmp_path / "out"), "--paper", "letter"])

        page = PdfReader(tmp_path / "out" / "T-1" / "T-1-manifest.pdf").pages[0]
        assert {612, 792} == {round(page.mediabox.width), round(page.mediabox.height)}

    def test_a_defect_of_our_own_is_told_in_one_line_and_stops_nobody(
        self, pallet, flawed, tmp_path, capsys, monkeypatch
    ):
        from intake.runner import grade_many

        def broken(read, batch, settings):
            raise ZeroDivisionError("a defect")

        monkeypatch.setattr(grade_many, "grade_batch", broken)
        code = main(["grade", str(pallet), str(flawed), "--out", str(tmp_path / "out")])

        printed = capsys.readouterr().out
        assert 3 == code
        assert 2 == printed.count("intake itself failed")
        assert "Traceback" not in printed


class TestCheck:
    def test_a_clean_workbook_gives_code_0(self, pallet, capsys):
        assert 0 == main(["check", str(pallet)])
        assert "batch T-1, 4 batteries, 0 errors" in capsys.readouterr().out

    def test_a_row_error_gives_code_1_and_names_the_cell(self, flawed, capsys):
        assert 1 == main(["check", str(flawed)])

        printed = capsys.readouterr().out
        assert "error    Batteries!D3  B-5  Rest voltage (V):" in printed
        assert "twelve" in printed

    def test_a_rejected_workbook_gives_code_3(self, rejected, capsys):
        assert 3 == main(["check", str(rejected)])
        assert "REJECTED" in capsys.readouterr().out

    def test_json_prints_findings_as_lines(self, flawed, capsys):
        main(["check", str(flawed), "--json"])

        findings = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
        (error,) = [one for one in findings if one["severity"] == "error"]
        assert {"cell": "D3", "tag": "B-5", "sheet": "Batteries"}.items() <= error.items()

    def test_quiet_prints_errors_only(self, pallet, flawed, capsys):
        main(["check", str(pallet), str(flawed), "--quiet"])

        printed = capsys.readouterr().out
        assert "T-1" not in printed
        assert "Batteries!D3" in printed

    def test_day_first_decides_a_date_of_two_readings(self, tmp_path, capsys):
        two_way = write_workbook(tmp_path / "dates.xlsx", batch={**BATCH, "Received": "03/04/2026"})

        assert 3 == main(["check", str(two_way)])
        assert 0 == main(["check", str(two_way), "--day-first"])
        assert 0 == main(["check", str(two_way), "--month-first"])

    def test_text_from_a_cell_can_not_steer_the_terminal(self, tmp_path, capsys):
        steering = write_workbook(
            tmp_path / "steer.xlsx", [{**GOOD, "Rest voltage (V)": "\u202e\u200f12 V\x7f"}]
        )

        main(["check", str(steering)])

        printed = capsys.readouterr().out
        assert all(sign.isprintable() or sign == "\n" for sign in printed)


class TestExplain:
    def test_the_decision_is_shown_first_then_the_rules_that_fired(self, pallet, capsys):
        assert 0 == main(["explain", str(pallet), "b-2"])

        printed = capsys.readouterr().out
        assert printed.startswith("B-2 (Batteries row 3), flooded: reconditionable")
        assert "* needs-recovery: at most reconditionable" in printed
        assert ", to be sure 12.4" in printed
        assert "did not fire: --all shows them." in printed
        assert "  rests-high: did not fire" not in printed
        assert "P(" not in printed
        assert ", u 0" not in printed
        assert " to be sure of 12.40 V." in printed

    def test_volts_are_shown_to_the_millivolt(self, pallet, capsys):
        assert 0 == main(["explain", str(pallet), "b-2", "--all"])

        lines = [line for line in capsys.readouterr().out.splitlines() if "margin" in line]
        volts = re.findall(r"(?:read|limit|sure) ([0-9.]+) V(?!/)", "\n".join(lines))
        assert volts
        assert {3} == {len(one.partition(".")[2]) for one in volts}

    def test_with_all_every_rule_is_shown_with_reading_limit_margin_and_source(self, pallet, capsys):
        assert 0 == main(["explain", str(pallet), "b-2", "--all"])

        printed = capsys.readouterr().out
        assert "margin " in printed
        assert "source: " in printed
        assert "P(≥ 12.4 V) = " in printed
        assert printed.index("* needs-recovery") < printed.index("  rests-high: did not fire")
        assert "--all shows them" not in printed

    def test_json_holds_the_whole_trace(self, pallet, capsys):
        main(["explain", str(pallet), "B-2", "--json"])

        trace = json.loads(capsys.readouterr().out)
        assert "reconditionable" == trace["grade"]
        assert "needs-recovery" in {step["rule"] for step in trace["steps"] if step["fired"]}

    @pytest.mark.parametrize(
        ("readings", "told"),
        [
            ({}, False),
            ({"Rated capacity (Ah)": 60, "Delivered capacity (Ah)": 58}, True),
            (
                {"Rated capacity (Ah)": 60, "Delivered capacity (Ah)": 58}
                | {"Hold end (V)": 12.8, "Hold end after (h)": 12},
                False,
            ),
        ],
    )
    def test_a_test_that_is_no_evidence_yet_says_what_it_waits_for(self, readings, told, tmp_path, capsys):
        path = write_workbook(tmp_path / "tested.xlsx", [{**GOOD, **readings}])
        main(["explain", str(path), "B-1"])
        line = "tested: capacity; as evidence a test counts beside a hold of 12 h or more"
        printed = capsys.readouterr().out
        assert told == (line in printed)
        assert told == ("tested: " in printed)

    def test_handling_and_next_step_are_those_of_the_papers(self, tmp_path, capsys):
        """A note that speaks of damage, and a tag that stands twice, set a battery apart on every paper."""
        rows = [
            {**GOOD, "Note": "side dented"},
            {**GOOD, "Tag": "B-2"},
            {**CRACKED, "Tag": "B-7"},
            {**GOOD, "Tag": "b-7"},
        ]
        path = write_workbook(tmp_path / "apart.xlsx", rows)

        main(["explain", str(path), "B-1"])
        printed = capsys.readouterr().out
        assert "handling look again" in printed
        assert "next step: Set it apart and look again first; connect nothing. The note says " in printed
        main(["explain", str(path), "B-2"])
        printed = capsys.readouterr().out
        assert "handling intact" in printed
        assert "next step: Before sale charge it fully" in printed
        main(["explain", str(path), "B-7"])
        printed = capsys.readouterr().out
        assert 2 == printed.count("handling damaged")
        assert 2 == printed.count("next step: Set it apart and look again first; connect nothing. Its tag ")

        main(["explain", str(path), "B-1", "--json"])
        trace = json.loads(capsys.readouterr().out)
        assert ("look again", "intact") == (trace["condition"], trace["handling"])
        assert trace["do_next"].startswith("Set it apart")

    def test_the_list_of_rules_needs_no_workbook(self, capsys):
        assert 0 == main(["explain", "--rules"])
        printed = capsys.readouterr().out
        assert "hold-drop-high: Drop high" in printed
        assert "what it leaves to do: charge, bring the cells level, then hold" in printed
        assert len(Rule) == sum(not line.startswith(" ") for line in printed.splitlines())

    def test_the_list_of_rules_comes_as_json_too(self, capsys):
        assert 0 == main(["explain", "--rules", "--json"])
        lines = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
        assert [rule.id for rule in Rule] == [one["rule"] for one in lines]
        assert ["no-voltage"] == [one["rule"] for one in lines if "shows no voltage" in one["meaning"]]

    @pytest.mark.parametrize("missing", [[], ["pallet.xlsx"]])
    def test_a_trace_needs_a_workbook_and_a_tag(self, missing, capsys):
        assert 2 == main(["explain", *missing])
        assert "--rules" in capsys.readouterr().err

    def test_an_unknown_tag_is_wrong_usage_and_shows_some_tags(self, pallet, capsys):
        assert 2 == main(["explain", str(pallet), "B-99"])
        assert "B-1, B-2" in capsys.readouterr().err

    def test_a_rejected_workbook_gives_code_3(self, rejected, capsys):
        assert 3 == main(["explain", str(rejected), "B-1"])
        assert "Atlantis" in capsys.readouterr().out

    def test_a_battery_with_a_row_error_gives_code_1(self, flawed, capsys):
        assert 1 == main(["explain", str(flawed), "B-5"])
        assert "row-error" in capsys.readouterr().out


class TestNew:
    def test_it_writes_a_workbook_that_checks_as_empty(self, tmp_path, capsys):
        assert 0 == main(["new", str(tmp_path / "blank.xlsx")])
        assert 3 == main(["check", str(tmp_path / "blank.xlsx")])

    def test_it_refuses_to_overwrite(self, pallet, capsys):
        before = pallet.read_bytes()

        assert 4 == main(["new", str(pallet)])
        assert before == pallet.read_bytes()
        assert "exists already" in capsys.readouterr().err

    def test_another_ending_is_wrong_usage(self, tmp_path, capsys):
        assert 2 == main(["new", str(tmp_path / "blank.ods")])

    def test_a_folder_that_is_not_there_gives_code_4(self, tmp_path, capsys):
        assert 4 == main(["new", str(tmp_path / "nowhere" / "blank.xlsx")])
        assert 1 == len(capsys.readouterr().err.splitlines())

    def test_the_short_form_and_the_form_for_a_pen(self, tmp_path, capsys):
        short, pen = tmp_path / "short.xlsx", tmp_path / "pen.pdf"
        assert 0 == main(["new", "--short", str(short), "--pen", str(pen), "--paper", "letter"])
        assert short.read_bytes().startswith(b"PK")
        assert pen.read_bytes().startswith(b"%PDF")
        told = capsys.readouterr().out
        assert f"{short} is ready." in told
        assert f"{pen} is ready." in told

    def test_a_form_for_a_pen_is_never_written_over_another(self, tmp_path, capsys):
        pen = tmp_path / "pen.pdf"
        pen.write_bytes(b"mine")
        assert 4 == main(["new", "--pen", str(pen)])
        assert b"mine" == pen.read_bytes()
        assert "exists already" in capsys.readouterr().err

    def test_nothing_asked_for_and_a_wrong_ending_are_said(self, tmp_path, capsys):
        assert 2 == main(["new"])
        assert 2 == main(["new", "--pen", str(tmp_path / "form.xlsx")])
        assert "ends in .pdf" in capsys.readouterr().err


class TestPolicy:
    def test_the_printed_policy_can_be_used_as_a_site_policy(self, tmp_path, capsys):
        assert 0 == main(["policy"])
        site = tmp_path / "site.json"
        site.write_text(capsys.readouterr().out.replace("bench default 2026-11", "yard 2"), encoding="utf-8")

        assert 0 == main(["policy", "--check", str(site)])
        assert "yard 2" in capsys.readouterr().out

    def test_a_policy_that_can_not_be_used_is_named_with_its_place(self, tmp_path, capsys):
        site = tmp_path / "site.json"
        main(["policy"])
        document = json.loads(capsys.readouterr().out)
        document["hold"]["long_from_h"]["value"] = "twelve"
        site.write_text(json.dumps(document), encoding="utf-8")

        assert 3 == main(["policy", "--check", str(site)])
        assert "hold/long_from_h/value" in capsys.readouterr().err

    def test_a_site_policy_changes_the_grade_and_the_digest(self, pallet, tmp_path, capsys):
        main(["policy"])
        document = json.loads(capsys.readouterr().out)
        document["rest"]["sound_v"]["flooded"]["value"] = 11.5
        site = tmp_path / "site.json"
        site.write_text(json.dumps(document), encoding="utf-8")

        main(["explain", str(pallet), "B-2", "--policy", str(site)])

        assert "flooded: resale-after-charge" in capsys.readouterr().out

    def test_grading_with_a_bad_policy_is_wrong_usage(self, pallet, tmp_path, capsys):
        (tmp_path / "site.json").write_text("{", encoding="utf-8")

        code = main(
            ["grade", str(pallet), "--out", str(tmp_path / "out"), "--policy", str(tmp_path / "site.json")]
        )

        assert 2 == code
        assert not (tmp_path / "out").exists()


class TestCommandLine:
    @pytest.mark.parametrize("command", ["new", "check", "grade", "explain", "policy"])
    def test_each_command_has_help_with_an_example(self, command, capsys):
        with pytest.raises(SystemExit) as stop:
            main([command, "--help"])

        assert 0 == stop.value.code
        assert f"Example:\n  intake {command}" in capsys.readouterr().out

    @pytest.mark.parametrize("arguments", [[], ["sell"], ["check", "x.xlsx", "--jobs", "0"]])
    def test_wrong_usage_gives_code_2(self, arguments, capsys):
        with pytest.raises(SystemExit) as stop:
            main(arguments)

        assert 2 == stop.value.code

    def test_version(self, capsys):
        with pytest.raises(SystemExit):
            main(["--version"])

        assert f"intake {__version__}\n" == capsys.readouterr().out

    def test_an_interrupt_gives_code_130_in_one_line(self, pallet, capsys, monkeypatch):
        from intake.cli import check_command

        def stop(options):
            raise KeyboardInterrupt

        monkeypatch.setattr(check_command, "run", stop)

        assert 130 == main(["check", str(pallet)])
        assert 1 == len(capsys.readouterr().err.splitlines())

    def test_a_defect_outside_any_workbook_is_told_in_one_line(self, pallet, capsys, monkeypatch):
        from intake.cli import check_command

        def fail(options):
            raise ZeroDivisionError("a defect")

        monkeypatch.setattr(check_command, "run", fail)

        assert 3 == main(["check", str(pallet)])
        assert "This is a defect" in capsys.readouterr().err

    def test_a_closed_pipe_ends_quietly(self, pallet):
        command = f"{sys.executable} -m intake check {pallet} --json | true"

        done = subprocess.run(command, shell=True, capture_output=True, text=True, check=False)

        assert ("", 0) == (done.stderr, done.returncode)


def test_the_command_alone_shows_what_there_is(capsys):
    with pytest.raises(SystemExit) as stop:
        main([])
    assert 2 == stop.value.code
    assert "usage: intake" in capsys.readouterr().err


def test_another_file_dropped_on_the_command_gets_a_plain_sentence(tmp_path, capsys):
    path = tmp_path / "old.csv"
    path.write_text("Tag,Voltage\n", encoding="utf-8")
    assert 3 == main([str(path)])
    said = capsys.readouterr().out
    assert "save it as an ordinary .xlsx workbook" in said
    assert "invalid choice" not in said


def test_the_short_way_does_not_ask_for_what_it_is_doing(tmp_path, capsys):
    path = write_workbook(tmp_path / "a.xlsx")
    assert 0 == main([str(path)])
    said = capsys.readouterr().out
    assert "Next: intake" not in said
    assert "Print this paper first" in said


@pytest.mark.parametrize(
    ("arguments", "usage"),
    [
        (["load", "new", "graded", "--out", "l.xlsx", "--colour"], "usage: intake load new "),
        (["load", "write", "l.xlsx"], "usage: intake load write "),
        (["check", "a.xlsx", "--colour"], "usage: intake check "),
        (["--colour", "check", "a.xlsx"], "usage: intake [-h]"),
    ],
)
def test_wrong_usage_shows_the_usage_of_the_command_that_was_given(arguments, usage, capsys):
    with pytest.raises(SystemExit) as stopped:
        main(arguments)
    assert 2 == stopped.value.code
    assert capsys.readouterr().err.startswith(usage)


def test_a_forged_document_is_told_with_what_to_do(tmp_path, capsys):
    book = write_workbook(tmp_path / "T-1.xlsx")
    out = tmp_path / "out"
    assert main(["grade", str(book), "--out", str(out), "--quiet", "--papers", "manifest"]) in (0, 1)
    (paper,) = out.glob("*/*manifest.pdf")
    whole = paper.read_bytes()
    at = whole.index(b"stream\n") + 20
    paper.write_bytes(whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :])
    capsys.readouterr()
    assert 5 == main(["verify", str(out), "--workbooks", str(tmp_path)])
    told = capsys.readouterr().out
    assert "its content is not what the workbook gives" in told
    assert "Do not rely on a document that differs." in told
    paper.write_bytes(whole)
    assert 0 == main(["verify", str(out), "--workbooks", str(tmp_path)])
    assert "Do not rely" not in capsys.readouterr().out
