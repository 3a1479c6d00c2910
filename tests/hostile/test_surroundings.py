"""Whatever surrounds a run, its documents are the same: settings, language, clock, rights, closed streams."""

import json
import os
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

import pytest

from intake.cli.main import main
from tests.hostile.command import HANG_S, ROOT
from tests.simple_workbook import BATCH, CRACKED, FLAT, GOOD, write_workbook

Documents = dict[str, bytes]


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("in")
    batch = {**BATCH, "Received": "2026-10-20", "Site": "Höfe, 3 – 5"}
    return write_workbook(folder / "pallet.xlsx", [GOOD, FLAT, CRACKED], batch=batch)


@pytest.fixture(scope="module")
def expected(book: Path, tmp_path_factory: pytest.TempPathFactory) -> Documents:
    out = tmp_path_factory.mktemp("usual")
    assert 0 == main(["grade", str(book), "--out", str(out), "--quiet"])
    return documents(out)


def documents(out: Path) -> Documents:
    return {one.relative_to(out).as_posix(): one.read_bytes() for one in out.rglob("*") if one.is_file()}


def ran(
    script: str, *, variables: Mapping[str, str] | None = None, out: Path | None = None
) -> subprocess.CompletedProcess[str]:
    """Run a line of shell in which ``intake`` is the command."""
    intake = f'intake() {{ "{sys.executable}" -Bm intake "$@"; }}; '
    return subprocess.run(
        ["bash", "-c", intake + script],
        cwd=ROOT,
        env={**os.environ, **(variables or {})},
        capture_output=True,
        text=True,
        timeout=HANG_S,
        check=False,
    )


SURROUNDINGS: dict[str, dict[str, str]] = {
    "date of a build": {"SOURCE_DATE_EPOCH": "1"},
    "settings of the PDF library": {
        "RL_useA85": "1",
        "RL_pageCompression": "0",
        "RL_invariant": "0",
        "RL_ttfAsciiReadable": "1",
        "RL_pdfComments": "1",
        "RL_documentLang": "de",
        "RL_canvas_basefontname": "Courier",
    },
    "plain language": {"LANG": "C", "LC_ALL": "C", "PYTHONUTF8": "0"},
    "decimal commas": {"LANG": "de_DE.UTF-8", "LC_ALL": "de_DE.UTF-8"},
    "another time zone": {"TZ": "Pacific/Kiritimati"},
    "no home": {"HOME": "/nonexistent"},
    "another seed": {"PYTHONHASHSEED": "7"},
}


@pytest.mark.parametrize("name", SURROUNDINGS)
def test_the_environment_changes_no_byte(book: Path, expected: Documents, tmp_path: Path, name: str) -> None:
    done = ran(f'intake grade "{book}" --out "{tmp_path}" --quiet', variables=SURROUNDINGS[name])
    assert 0 == done.returncode
    assert expected == documents(tmp_path)


def test_settings_of_the_pdf_library_at_home_change_no_byte(
    book: Path, expected: Documents, tmp_path: Path
) -> None:
    home = tmp_path / "home"
    home.mkdir()
    for name in (".reportlab_settings", "reportlab_settings.py"):
        (home / name).write_text("useA85 = 1\npdfComments = 1\n", encoding="ascii")
    variables = {"HOME": str(home), "PYTHONPATH": str(home)}
    done = ran(f'intake grade "{book}" --out "{tmp_path / "out"}" --quiet', variables=variables)
    assert (0, "") == (done.returncode, done.stderr)
    assert expected == documents(tmp_path / "out")


def test_a_narrow_mask_of_rights_changes_no_byte(book: Path, expected: Documents, tmp_path: Path) -> None:
    done = ran(f'umask 077; intake grade "{book}" --out "{tmp_path / "out"}" --quiet')
    assert (0, expected) == (done.returncode, documents(tmp_path / "out"))


CLOSED = {
    "reader gone": "| true",
    "closed": ">&-",
    "all closed": "<&- >&- 2>&-",
    "full": "> /dev/full",
    "both full": "> /dev/full 2>&1",
}


@pytest.mark.parametrize("jobs", ["1", "2"])
@pytest.mark.parametrize("name", CLOSED)
def test_what_can_not_be_printed_stops_no_work(book: Path, tmp_path: Path, name: str, jobs: str) -> None:
    kept = tmp_path / "kept"
    kept.mkdir()
    for number in range(3):
        write_workbook(kept / f"b{number}.xlsx", batch={**BATCH, "Batch": f"T-{number}"})
    script = f'set -o pipefail; intake grade "{kept}" --out "{tmp_path / "out"}" --jobs {jobs} {CLOSED[name]}'
    done = ran(script)
    assert (0, "") == (done.returncode, done.stderr)
    folders = sorted(one.name for one in (tmp_path / "out").iterdir() if one.is_dir())
    assert ["T-0", "T-1", "T-2"] == folders
    assert 0 == main(["verify", str(tmp_path / "out"), "--workbooks", str(kept), "--quiet"])


@pytest.mark.parametrize("command", ["check '{book}'", "explain '{book}' B-1", "policy"])
def test_a_result_that_is_only_printed_is_missed_where_there_is_no_room_for_it(
    book: Path, command: str
) -> None:
    done = ran(f"intake {command.format(book=book)} > /dev/full")
    assert 4 == done.returncode
    assert ["What was found could not be printed: no space left on device."] == done.stderr.splitlines()


def test_a_screen_that_knows_no_such_letters_shows_others(book: Path, tmp_path: Path) -> None:
    odd = tmp_path / "pallet-Ω.xlsx"
    odd.write_bytes(book.read_bytes())
    done = ran(f'intake check "{odd}"', variables={"PYTHONIOENCODING": "ascii"})
    assert (0, "") == (done.returncode, done.stderr)


def test_a_name_that_is_no_utf_8_is_read_written_and_verified(book: Path, tmp_path: Path) -> None:
    odd = os.fsencode(tmp_path) + b"/pallet-\xff.xlsx"
    with open(odd, "wb") as file:
        file.write(book.read_bytes())
    out = tmp_path / "out"
    done = ran(f'intake grade "{tmp_path}"/*.xlsx --out "{out}" && intake verify "{out}"')
    assert (0, "") == (done.returncode, done.stderr)
    document = json.loads((out / "T-1" / "T-1-results.json").read_text(encoding="utf-8"))
    assert "pallet-\ufffd.xlsx" == document["source"]["name"]


@pytest.mark.parametrize("target", ["a file", "a loop", "a name too long"])
@pytest.mark.parametrize("command", ["grade", "check"])
def test_a_target_that_is_no_folder_is_told_in_a_sentence(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], target: str, command: str
) -> None:
    place = tmp_path / ("x" * 300 if target == "a name too long" else "place")
    if target == "a file":
        place.write_text("x", encoding="utf-8")
    elif target == "a loop":
        place.symlink_to(place)
    option = "--out" if command == "grade" else "--marked"
    assert 4 == main([command, str(book), option, str(place)])
    told = capsys.readouterr().err
    assert "could not be written" in told
    assert 1 == len(told.splitlines())


@pytest.mark.parametrize("command", ["check", "grade"])
def test_a_workbook_with_a_name_too_long_is_rejected_alone(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], command: str
) -> None:
    out = ["--out", str(tmp_path / "out")] if command == "grade" else []
    assert 3 == main([command, str(tmp_path / ("x" * 300 + ".xlsx")), str(book), *out])
    told = capsys.readouterr().out
    assert "The file cannot be opened: File name too long" in told
    assert "defect" not in told


def test_more_processes_than_can_be_waited_for_are_wrong_usage(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as stop:
        main(["check", str(book), "--jobs", "99999999999"])
    assert 2 == stop.value.code
    assert "must be 61 at most" in capsys.readouterr().err
