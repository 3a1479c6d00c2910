import re

import pytest

from intake.policy.cited import CitedTable, CitedValue, Status


@pytest.mark.parametrize(("unit", "source"), [("", "A manual"), ("  ", "A manual"), ("V", ""), ("V", " \t")])
def test_a_value_can_not_stand_without_a_unit_and_a_source(unit, source):
    with pytest.raises(ValueError, match="^a policy value needs a unit and a source$"):
        CitedValue(12.4, unit, source, Status.OPENED)


@pytest.mark.parametrize(("unit", "source"), [("", "A manual"), ("  ", "A manual"), ("V", ""), ("V", " \t")])
def test_a_table_can_not_stand_without_a_unit_and_a_source(unit, source):
    with pytest.raises(ValueError, match="^a policy table needs a unit and a source$"):
        CitedTable(((0.0, 11.8), (100.0, 12.65)), unit, source, Status.OPENED)


@pytest.mark.parametrize(
    "points",
    [
        ((0.0, 11.8), (0.0, 12.65)),
        ((10.0, 11.8), (0.0, 12.65)),
        ((0.0, 11.8), (50.0, 12.2), (50.0, 12.3), (100.0, 12.65)),
    ],
)
def test_the_first_figures_of_a_table_must_rise(points):
    with pytest.raises(ValueError, match=re.escape("the first figures of a policy table must rise")):
        CitedTable(points, "% -> V", "A manual", Status.OPENED)


def test_a_value_and_a_table_keep_what_they_were_given():
    value = CitedValue(12.4, "V", "A manual", Status.OPENED)
    table = CitedTable(((0.0, 11.8), (100.0, 11.7)), "% -> V", "A manual", Status.FROM_MEMORY)
    assert (12.4, "V", "A manual", "opened") == (value.value, value.unit, value.source, value.status)
    assert (((0.0, 11.8), (100.0, 11.7)), "from memory") == (table.points, table.status)


def test_the_statuses_are_those_of_the_contract():
    assert ["opened", "common practice", "from memory", "site choice", "from simulation"] == [
        status.value for status in Status
    ]
