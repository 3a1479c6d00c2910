"""A date of tomorrow: a warning on the screen, and the same documents as on any other day."""

from datetime import date, timedelta

import pytest

from intake.cli import check_command, grade_command
from intake.cli.main import main
from intake.cli.reading_options import settings_from
from tests.changed import replace
from tests.simple_workbook import RECEIVED, write_workbook

DAY = date.fromisoformat(RECEIVED)
WARNED = f"{RECEIVED} is tomorrow by this computer's clock. Check the date, or the clock."


@pytest.fixture
def clock(monkeypatch):
    """Return a function that sets the commands' clock to so many days before the workbook's day."""

    def behind(days):
        for module in (check_command, grade_command):
            monkeypatch.setattr(
                module,
                "settings_from",
                lambda options: replace(settings_from(options), today=DAY - timedelta(days)),
            )

    return behind


@pytest.mark.parametrize(("days", "code", "lines"), [(0, 0, 0), (1, 0, 2), (2, 3, 0)])
@pytest.mark.parametrize("command", ["check", "grade"])
def test_it_is_warned_of_on_standard_error_alone(tmp_path, capsys, clock, command, days, code, lines):
    clock(days)
    book = write_workbook(tmp_path / "pallet.xlsx")

    assert code == main(
        [command, str(book), *(["--out", str(tmp_path / "out")] if command == "grade" else [])]
    )
    out, err = capsys.readouterr()
    assert lines == err.count(WARNED)
    assert bool(lines) == (f"{book}:  warning  Batch!B3  Received: {WARNED}" in err)
    assert "tomorrow" not in out
    assert (days == 2) == ("lies in the future" in out)


def test_quiet_leaves_it_out(tmp_path, capsys, clock):
    clock(1)
    book = write_workbook(tmp_path / "pallet.xlsx")
    assert 0 == main(["check", str(book), "--quiet"])
    assert 0 == main(["grade", str(book), "--out", str(tmp_path / "out"), "--quiet"])
    assert ("", "") == tuple(capsys.readouterr())


def test_no_document_depends_on_the_day(tmp_path, clock):
    book = write_workbook(tmp_path / "pallet.xlsx")
    written = []
    for days in (0, 1):
        clock(days)
        out = tmp_path / f"out-{days}"
        assert 0 == main(["grade", str(book), "--out", str(out), "--quiet"])
        written.append({one.relative_to(out): one.read_bytes() for one in out.rglob("*") if one.is_file()})
    assert written[0] == written[1]
