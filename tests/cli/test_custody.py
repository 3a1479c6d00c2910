"""The way of one battery: readings in order of time, and batteries that share a tag told apart."""

import json

import pytest

from intake.cli.main import main
from tests.simple_workbook import BATCH, CRACKED, GOOD, write_workbook

HELD = {key: GOOD[key] for key in ("Tag", "Chemistry", "Case")} | {"Case plastic": "polypropylene"}


def hold(hours, volts):
    return {"Tag": "B-1", "After charge (h)": hours, "Voltage (V)": volts}


@pytest.fixture(scope="module")
def yard(tmp_path_factory):
    """Return a folder with a tag in two batches, one of them read four times after its charge."""
    top = tmp_path_factory.mktemp("custody")
    held = write_workbook(
        top / "one.xlsx",
        [HELD],
        sheets={"Hold readings": [hold(24, 12.75), hold(12, 12.8), hold(6, 12.9), hold(0.5, 13)]},
    )
    other = write_workbook(
        top / "two.xlsx",
        [{**CRACKED, "Tag": "b-1", "Rest voltage (V)": 12.6}],
        batch={**BATCH, "Batch": "T-2", "Received": "2026-06-04"},
    )
    assert main(["grade", str(held), str(other), "--out", str(top / "out"), "--quiet"]) in (0, 1)
    return top / "out"


def told(yard, capsys, *options):
    assert 0 == main(["custody", "B-1", str(yard), *options])
    return capsys.readouterr().out


def test_readings_of_a_day_come_by_their_hours_after_the_charge(yard, capsys):
    out = told(yard, capsys)
    places = [out.index(f"{hours} h after charge") for hours in (" 0.5", " 6", " 12", " 24")]
    assert sorted(places) == places


def test_volts_have_two_decimals(yard, capsys):
    out = told(yard, capsys)
    for volts in ("13.00 V", "12.90 V", "12.80 V", "12.75 V", "12.60 V"):
        assert volts in out


def test_each_battery_of_a_shared_tag_has_a_heading_and_its_own_events(yard, capsys):
    first, second = told(yard, capsys).split("\n\n")[1:]
    assert "Battery b-1 of batch T-2" == first.splitlines()[0]
    assert "Battery B-1 of batch T-1" == second.splitlines()[0]
    assert all("T-2/b-1" in line for line in first.splitlines()[1:])
    assert all("T-1/B-1" in line for line in second.splitlines()[1:])


def test_a_battery_that_no_reading_speaks_for_is_told_in_words(yard, capsys):
    out = told(yard, capsys)
    assert "(none)" not in out


def test_a_program_gets_one_list_in_order_of_time(yard, capsys):
    events = [json.loads(line) for line in told(yard, capsys, "--json").splitlines()]
    assert {"T-1", "T-2"} == {one["batch"] for one in events}
    assert sorted(one["day"] for one in events) == [one["day"] for one in events]
    assert {"day", "what", "batch", "tag", "text", "file"} == set(events[0])


def test_a_second_revision_comes_after_the_first(yard, capsys, tmp_path):
    book = write_workbook(tmp_path / "three.xlsx", [{**CRACKED, "Tag": "B-9"}])
    out = str(tmp_path / "out")
    command = ["grade", str(book), "--out", out, "--quiet"]
    assert main(command) in (0, 1)
    write_workbook(book, [{**GOOD, "Tag": "B-9"}])
    assert main([*command, "--overwrite", "--reason", "a crack that was dirt", "--by", "Bench 1"]) in (0, 1)
    capsys.readouterr()
    assert 0 == main(["custody", "B-9", out])
    said = capsys.readouterr().out
    assert "Battery B-9 of batch" not in said
    assert said.index("graded: recycle") < said.index("graded: resale-after-charge")
    assert said.index("revision 1") < said.index("revision 2")


@pytest.fixture
def rounds(tmp_path, capsys):
    """Return what grades one more round of B-1, and what custody then says of its readings."""
    out = str(tmp_path / "out")

    def graded(volts, **batch):
        path = tmp_path / "round.xlsx"
        head = {**BATCH, "Received": "2026-06-04", **batch}
        readings = [hold(24, volts), {**hold(12, 12.9), "Read at": "2026-06-08 08:00"}]
        row = {**HELD, "Charge ended": "2026-06-07 20:00", "Rest voltage (V)": 12.6, "Note": str(batch)}
        write_workbook(path, [row], batch=head, sheets={"Hold readings": readings})
        command = ["grade", str(path), "--out", out, "--quiet", "--overwrite", "--reason", "another round"]
        assert main(command) in (0, 1)

    def told():
        capsys.readouterr()
        assert 0 == main(["custody", "B-1", out])
        return [line for line in capsys.readouterr().out.splitlines() if " read: " in line]

    return graded, told


def test_an_unchanged_reading_keeps_its_first_day_and_stands_once(rounds):
    graded, told = rounds
    graded(12.75, **{"Read on": "2026-06-10"})
    graded(12.75, **{"Read on": "2026-06-14", "Read by": "Bench 7"})
    graded(12.75, **{"Read on": "2026-06-12"})
    timed, rest, held = told()
    assert "2026-06-08" in timed
    assert "first recorded" not in timed
    for line in (rest, held):
        assert line.startswith("2026-06-10")
        assert line.endswith("first recorded")
        assert "Bench 7" not in line


def test_a_day_that_was_mended_to_an_earlier_one_is_the_day(rounds):
    graded, told = rounds
    graded(12.75, **{"Read on": "2026-06-14"})
    graded(12.75, **{"Read on": "2026-06-10"})
    assert ["2026-06-08", "2026-06-10", "2026-06-10"] == [line[:10] for line in told()]


def test_a_reading_that_changed_is_one_of_its_own_day(rounds):
    graded, told = rounds
    graded(12.75, **{"Read on": "2026-06-10"})
    graded(12.74, **{"Read on": "2026-06-14"})
    graded(12.75, **{"Read on": "2026-06-16"})
    held = [line for line in told() if "24 h after charge" in line]
    assert [("2026-06-10", "12.75"), ("2026-06-14", "12.74"), ("2026-06-16", "12.75")] == [
        (line[:10], line.split(": ")[2][:5]) for line in held
    ]
    assert not any("first recorded" in line for line in held)


def test_of_one_day_a_mended_reader_stands_beside_the_one_before(rounds):
    graded, told = rounds
    graded(12.75, **{"Read on": "2026-06-10"})
    graded(12.75, **{"Read on": "2026-06-10", "Read by": "Bench 7"})
    readers = [line.split("by ")[1].split(":")[0] for line in told() if "at rest" in line]
    assert 2 == len(readers)
    assert "Bench 7" in readers
