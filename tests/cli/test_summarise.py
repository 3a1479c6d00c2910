"""``intake summarise`` as a person types it."""

import json

import pytest

from intake.cli.main import main
from tests.season import cracked, grade_batch, row

SPRING = ("--from", "2026-04-01", "--to", "2026-06-15")
FOLDER = "register-2026-04-01-to-2026-06-15"


@pytest.fixture
def graded(tmp_path):
    grade_batch(tmp_path, "A-1", "2026-04-01", [row("B-1"), cracked("B-2")], Received_from="Counter")
    grade_batch(tmp_path, "A-2", "2026-06-16", [row("B-1")])
    return tmp_path / "graded"


def test_the_register_is_written_beside_the_batches(graded, capsys):
    code = main(["summarise", str(graded), *SPRING, "--storage-limit", "60"])

    printed = capsys.readouterr().out
    assert 0 == code
    assert (
        "1 batch, 2 batteries: 1 resale-after-charge, 0 reconditionable, 1 recycle, 0 unresolved" in printed
    )
    assert "received earlier 0, later 1" in printed
    assert "1 tag in more than one batch" in printed
    assert str(graded / FOLDER) in printed
    names = {entry.name for entry in (graded / FOLDER).iterdir()}
    assert {"register.json", "register.xlsx", "register.pdf", "SHA256SUMS"} == names
    document = json.loads((graded / FOLDER / "register.json").read_bytes())
    assert ("2026-06-15", 60) == (document["period"]["closing"], document["period"]["storage_limit_days"])
    assert [75] == [one["days"] for one in document["storage"]]


def test_the_register_is_no_batch_to_itself_or_to_verify(graded, capsys):
    assert 0 == main(["summarise", str(graded), *SPRING])
    before = (graded / FOLDER / "register.json").read_bytes()

    assert 0 == main(["summarise", str(graded), *SPRING, "--recursive", "--overwrite"])
    assert before == (graded / FOLDER / "register.json").read_bytes()
    capsys.readouterr()
    assert 0 == main(["verify", str(graded), "--workbooks", str(graded.parent)])
    assert "2 graded folders, 1 register checked, 0 no longer standing.\n" in capsys.readouterr().out


def test_verify_never_ends_as_if_all_were_well_where_the_workbooks_are_not_found(graded, tmp_path, capsys):
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()

    assert 6 == main(["verify", str(graded), "--workbooks", str(elsewhere)])
    said = capsys.readouterr().out.splitlines()
    assert said[-1] == "2 graded folders checked, 0 no longer standing, 2 not or only in part checked."
    assert 2 == sum(line.startswith("  7 documents cannot be checked: its workbook (") for line in said)
    assert "  SEASON-SHA256SUMS stands" in said
    assert 7 == len(said)


def test_out_and_closing(graded, tmp_path):
    code = main(["summarise", str(graded), *SPRING, "--closing", "2026-07-31", "--out", str(tmp_path / "o")])

    assert 0 == code
    document = json.loads((tmp_path / "o" / FOLDER / "register.json").read_bytes())
    assert "2026-07-31" == document["period"]["closing"]
    assert [121] == [one["days"] for one in document["storage"]]


def test_a_file_left_out_gives_code_3_and_the_rest_is_written(graded, capsys):
    (graded / "A-3").mkdir()
    (graded / "A-3" / "A-3-results.json").write_text("{", encoding="utf-8")

    code = main(["summarise", str(graded), *SPRING, "--quiet"])

    printed = capsys.readouterr().out
    assert 3 == code
    assert printed.startswith("left out: A-3/A-3-results.json: It is no readable JSON: ")
    assert 1 == len(printed.splitlines())
    document = json.loads((graded / FOLDER / "register.json").read_bytes())
    assert 2 == document["totals"]["count"]
    assert ["A-3/A-3-results.json"] == [one["file"] for one in document["inputs"]["left_out"]]


def test_a_copy_is_told_and_is_no_failure(graded, capsys):
    (graded / "copy-results.json").write_bytes((graded / "A-1" / "A-1-results.json").read_bytes())

    assert 0 == main(["summarise", str(graded), *SPRING])
    assert "copy-results.json has the same bytes as A-1/A-1-results.json" in capsys.readouterr().out


def test_no_batch_in_the_period_is_said_and_written(graded, capsys):
    code = main(["summarise", str(graded), "--from", "2025-01-01", "--to", "2025-12-31"])

    assert 0 == code
    assert "2025-01-01 to 2025-12-31: no batch was received." in capsys.readouterr().out
    assert (graded / "register-2025-01-01-to-2025-12-31" / "register.json").exists()


def test_an_existing_register_stays_without_overwrite(graded, capsys):
    assert 0 == main(["summarise", str(graded), *SPRING])
    assert 4 == main(["summarise", str(graded), *SPRING])
    assert "--overwrite" in capsys.readouterr().err

    (graded / FOLDER / "my notes.txt").touch()
    assert 0 == main(["summarise", str(graded), *SPRING, "--overwrite"])
    assert "left untouched beside them: my notes.txt" in capsys.readouterr().out
    assert (graded / FOLDER / "my notes.txt").exists()


def test_a_target_that_can_not_be_written_is_code_4(graded, tmp_path, capsys):
    (tmp_path / "file").touch()

    assert 4 == main(["summarise", str(graded), *SPRING, "--out", str(tmp_path / "file")])
    assert "could not be written" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--from", "1/4/2026", "--to", "2026-06-30"), "'1/4/2026' is no day of the calendar"),
        (("--from", "2026-04-31", "--to", "2026-06-30"), "write it like 2026-09-30"),
        (("--from", "20260401", "--to", "2026-06-30"), "'20260401' is no day of the calendar"),
        (("--from", "2026-04-01"), "--to"),
        (("--from", "2026-04-01", "--to", "2026-06-30", "--storage-limit", "-1"), "must be 0 or more"),
        (("--from", "2026-04-01", "--to", "2026-06-30", "--storage-limit", "x"), "invalid"),
    ],
)
def test_wrong_arguments_are_code_2_with_what_was_expected(graded, capsys, arguments, says):
    with pytest.raises(SystemExit) as ended:
        main(["summarise", str(graded), *arguments])

    assert 2 == ended.value.code
    assert says in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--from", "2026-04-02", "--to", "2026-04-01"), "--to 2026-04-01 lies before --from 2026-04-02"),
        ((*SPRING, "--closing", "2026-06-14"), "--closing 2026-06-14 lies before the end of the period"),
    ],
)
def test_dates_the_wrong_way_round_are_code_2(graded, capsys, arguments, says):
    assert 2 == main(["summarise", str(graded), *arguments])
    assert says in capsys.readouterr().err


def test_a_folder_without_a_graded_batch_is_code_2(tmp_path, capsys):
    assert 2 == main(["summarise", str(tmp_path), *SPRING])
    assert "holds no graded batch" in capsys.readouterr().err
    assert 2 == main(["summarise", str(tmp_path / "nowhere"), *SPRING])
    assert "is no folder" in capsys.readouterr().err
    assert [] == list(tmp_path.iterdir())


def test_no_register_is_put_among_the_documents_of_a_batch(graded, tmp_path, capsys):
    assert 2 == main(["summarise", str(graded / "A-1"), *SPRING])
    assert "Say with --out where the register goes" in capsys.readouterr().err
    assert [] == [entry for entry in (graded / "A-1").iterdir() if entry.is_dir()]

    assert 0 == main(["summarise", str(graded / "A-1"), *SPRING, "--out", str(tmp_path / "o")])
    assert (tmp_path / "o" / FOLDER / "register.pdf").exists()


def test_with_verify_only_what_stands_is_counted(graded, capsys):
    """Without it a changed mass counts, as long as the file agrees with itself."""
    assert 0 == main(["summarise", str(graded), *SPRING, "--verify", "--workbooks", str(graded.parent)])
    whole = json.loads((graded / FOLDER / "register.json").read_bytes())

    first = sorted(one for one in graded.iterdir() if (one / "SHA256SUMS").exists())[0]
    labels = first / f"{first.name}-labels.pdf"
    labels.write_bytes(labels.read_bytes() + b" ")
    options = ["--workbooks", str(graded.parent), "--overwrite"]
    assert 0 == main(["summarise", str(graded), *SPRING, *options])
    capsys.readouterr()
    assert 3 == main(["summarise", str(graded), *SPRING, "--verify", *options])
    assert f"left out: {first.name}/{first.name}-results.json: It does not stand: {labels.name}" in (
        capsys.readouterr().out
    )
    register = json.loads((graded / FOLDER / "register.json").read_bytes())
    assert len(whole["batches"]) - 1 == len(register["batches"])


def test_with_verify_what_can_not_be_checked_is_not_counted(graded, tmp_path, capsys):
    (tmp_path / "none").mkdir()
    options = ["--verify", "--workbooks", str(tmp_path / "none")]
    assert 3 == main(["summarise", str(graded), *SPRING, *options])
    assert "It cannot be verified: its workbook (" in capsys.readouterr().out
