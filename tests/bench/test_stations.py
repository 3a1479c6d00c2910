"""Stations from a short text."""

import pytest

from intake.bench.stations import StationsRefused, stations_from
from intake.model.battery import LEAD_ACID, Chemistry
from intake.model.plan import Station

ALL = LEAD_ACID | {Chemistry.LFP}


def stations(text):
    return stations_from(text, usual_current_a=10)


def test_a_number_is_so_many_alike():
    assert stations("3") == (
        Station("S1", 10, ALL, apart=True),
        Station("S2", 10, ALL),
        Station("S3", 10, ALL),
    )


def test_groups_with_current_and_chemistries():
    assert stations("2x10A:lead, 1 x 20.5a:LFP:apart,1x6:agm:gel") == (
        Station("S1", 10, LEAD_ACID),
        Station("S2", 10, LEAD_ACID),
        Station("S3", 20.5, frozenset({Chemistry.LFP}), apart=True),
        Station("S4", 6, frozenset({Chemistry.AGM, Chemistry.GEL})),
    )


def test_words_are_those_of_the_workbook():
    (found,) = stations("1:flooded-sealed:efb")
    assert found.chemistries == {Chemistry.FLOODED_SEALED, Chemistry.EFB}
    assert stations("1:all")[0].chemistries == ALL


def test_the_first_that_takes_lithium_stands_apart_unless_one_is_named():
    assert [one.apart for one in stations("2:lead,2")] == [False, False, True, False]
    assert [one.apart for one in stations("2,1:apart")] == [False, False, True]
    assert [one.apart for one in stations("2:lead")] == [False, False]


@pytest.mark.parametrize(
    "text",
    ["", "four", "-1", "4x", "4xA", "2x0A", "2x0.0", "3x10A:lithium", "3x10A:", "1,,1", "1;1", "4x10B"],
)
def test_what_can_not_be_read_is_told(text):
    with pytest.raises(StationsRefused, match="was read as a group of stations; expected a number like 4"):
        stations(text)


@pytest.mark.parametrize(("text", "count"), [("0", 0), ("201", 201), ("150,51", 201)])
def test_none_or_too_many(text, count):
    with pytest.raises(StationsRefused, match=f"^{count} stations were read; expected 1 to 200"):
        stations(text)


def test_the_most():
    assert len(stations("200")) == 200
