"""Counts and masses."""

from intake.model.verdict import Grade
from intake.report.words.totals import (
    GRADE_ORDER,
    batteries_by_grade,
    total_of,
    totals_by_grade,
    totals_by_stream,
)
from tests.report.builders import battery, result_of

CRACKED = {"case": "cracked", "rest_voltage_v": 12.7}


def test_weighed_estimated_and_missing_masses_are_told_apart():
    result = result_of(
        [
            battery(1, rest_voltage_v=12.7, mass_kg=15.5),
            battery(2, rest_voltage_v=12.7),
            battery(3, rest_voltage_v=12.7, rated_capacity_ah=None),
        ]
    )
    total = total_of(result.graded)

    assert (3, 30.5, 15.0, 1) == (total.count, total.mass_kg, total.mass_estimated_kg, total.without_mass)


def test_every_grade_is_there_in_the_order_of_the_documents():
    found = totals_by_grade(result_of([battery(1, rest_voltage_v=12.7)]))

    assert [Grade.RESALE, Grade.RECONDITIONABLE, Grade.RECYCLE, Grade.UNRESOLVED] == list(found)
    assert [1, 0, 0, 0] == [total.count for total in found.values()]
    assert set(Grade) == set(GRADE_ORDER)


def test_batteries_keep_their_order_within_a_grade():
    batteries = [battery(number, rest_voltage_v=12.7) for number in (3, 1, 2)]

    assert ["B-003", "B-001", "B-002"] == [
        one.battery.tag for one in batteries_by_grade(result_of(batteries))[Grade.RESALE]
    ]


def test_streams_are_summed_in_the_order_of_the_jurisdiction():
    result = result_of(
        [
            battery(1, "LFP", **CRACKED, mass_kg=8.0),
            battery(2, **CRACKED, mass_kg=15.0),
            battery(3, **CRACKED, mass_kg=16.0),
            battery(4, rest_voltage_v=12.7),
        ]
    )

    assert [("lead-acid-damaged", 2, 31.0), ("lfp-damaged", 1, 8.0)] == [
        (one.key, one.total.count, one.total.mass_kg) for one in totals_by_stream(result)
    ]
