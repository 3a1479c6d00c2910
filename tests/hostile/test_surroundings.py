"""Whatever surrounds a run, its documents are the same: settings, language, clock, rights, closed streams."""

import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import suppress
from pathlib import Path

import pytest

from intake.cli.main import main
from tests.hostile.command import HANG_S, ROOT
from tests.simple_workbook import BATCH, CRACKED, FLAT, GOOD, write_workbook

Documents = dict[str, bytes]


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("in")
    batch = {**BATCH, "Received": "2026-05-05", "Site": "Höfe, 3 – 5"}
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
    "another time zone": {"TZ": "Pacific/Kiritimati"},
    "no home": {"HOME": "/nonexistent"},
    "another seed": {"PYTHONHASHSEED": "7"},
}


@pytest.mark.parametrize("name", SURROUNDINGS)
def test_the_environment_changes_no_byte(book: Path, expected: Documents, tmp_path: Path, name: str) -> None:
    done = ran(f'intake grade "{book}" --out "{tmp_path}" --quiet', variables=SURROUNDINGS[name])
    assert 0 == done.returncode
    assert expected == documents(tmp_path)


@pytest.fixture(scope="module")
def decimal_commas(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Return the variables of a language with decimal commas, made here: few machines have it ready."""
    folder = tmp_path_factory.mktemp("locales")
    name = "de_DE.UTF-8"
    command = ["localedef", "--no-archive", "-i", "de_DE", "-f", "UTF-8", str(folder / name)]
    if (
        shutil.which(command[0]) is None
        or subprocess.run(command, capture_output=True, check=False).returncode
    ):
        pytest.skip("this machine has no sources of a language with decimal commas")
    variables = {"LOCPATH": str(folder), "LANG": name, "LC_ALL": name}
    probe = "import locale; locale.setlocale(locale.LC_ALL, ''); print(locale.str(1.5))"
    done = subprocess.run(
        [sys.executable, "-c", probe],
        env={**os.environ, **variables},
        capture_output=True,
        text=True,
        check=True,
    )
    assert "1,5\n" == done.stdout
    return variables


def test_decimal_commas_change_no_byte(
    book: Path, expected: Documents, decimal_commas: dict[str, str], tmp_path: Path
) -> None:
    """Even where the program that calls the command has made the language its own."""
    done = ran(f'intake grade "{book}" --out "{tmp_path / "one"}" --quiet', variables=decimal_commas)
    assert (0, expected) == (done.returncode, documents(tmp_path / "one"))
    set_first = "import locale; locale.setlocale(locale.LC_ALL, ''); from intake.cli.main import main; main()"
    script = f'"{sys.executable}" -Bc "{set_first}" grade "{book}" --out "{tmp_path / "two"}" --quiet'
    done = ran(script, variables=decimal_commas)
    assert (0, expected) == (done.returncode, documents(tmp_path / "two"))


def test_without_a_home_no_byte_changes(book: Path, expected: Documents, tmp_path: Path) -> None:
    done = ran(f'unset HOME; intake grade "{book}" --out "{tmp_path}" --quiet')
    assert (0, "", expected) == (done.returncode, done.stderr, documents(tmp_path))


@pytest.fixture
def installation() -> Iterator[Path]:
    """Put the program where everybody may read it and nobody may write, beside a folder for another user."""
    root = Path(tempfile.mkdtemp())
    root.chmod(0o755)
    for name in ("intake", "schemas", "templates"):
        shutil.copytree(ROOT / name, root / "program" / name, ignore=shutil.ignore_patterns("__pycache__"))
    for one in [root / "program", *(root / "program").rglob("*")]:
        one.chmod(0o555 if one.is_dir() else 0o444)
    yield root
    for one in (root / "program").rglob("*"):
        if one.is_dir():
            one.chmod(0o755)
    (root / "program").chmod(0o755)
    shutil.rmtree(root)


def test_another_user_works_with_a_program_that_is_not_theirs(
    book: Path, expected: Documents, installation: Path
) -> None:
    """No right to write where the program is, no home: only the folder of the documents is theirs."""
    nobody = 65534
    if os.geteuid() != 0:
        pytest.skip("only a person with all rights can be another user")
    work = installation / "work"
    work.mkdir()
    shutil.copy(book, work)
    for one in (work, work / book.name):
        os.chown(one, nobody, nobody)
    run = ["-c", "from intake.cli.main import main; raise SystemExit(main())"]
    environment = {"PATH": os.environ["PATH"], "HOME": "/nonexistent"}
    libraries = [one for one in sys.path if one.endswith("site-packages")]
    environment["PYTHONPATH"] = os.pathsep.join([str(installation / "program"), *libraries])

    def as_nobody(python: str, *arguments: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [python, *run, *arguments],
            cwd=work,
            env=environment,
            user=nobody,
            group=nobody,
            extra_groups=[],
            capture_output=True,
            text=True,
            timeout=HANG_S,
            check=False,
        )

    for python in (sys.executable, f"/usr/bin/python{sys.version_info[0]}.{sys.version_info[1]}"):
        with suppress(OSError):
            if as_nobody(python, "--version").returncode == 0:
                break
    else:
        pytest.skip("no Python of this machine may be run by another user")
    done = as_nobody(python, "grade", book.name, "--out", "out", "--quiet")
    assert (0, "") == (done.returncode, done.stderr)
    assert expected == documents(work / "out")
    assert nobody == (work / "out" / "T-1").stat().st_uid
    assert [] == list((installation / "program").rglob("__pycache__"))
    into = as_nobody(python, "grade", book.name, "--out", str(installation / "program" / "out"))
    assert (4, 1) == (into.returncode, len(into.stderr.splitlines()))
    assert "permission denied" in into.stderr


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
