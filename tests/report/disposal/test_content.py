"""What the disposal sheet lists, and in which order."""

import pytest

from intake.model.verdict import Grade
from intake.report.disposal.content import disposal_content, is_doubtful_lithium
from tests.report.builders import battery, result_of

CRACKED = {"case": "cracked", "rest_voltage_v": 0.3}


def content_of(*batteries, **fields):
    return disposal_content(result_of(batteries, batch=fields))


def one_graded(*args, **fields):
    return result_of([battery(*args, **fields)]).graded[0]


def test_a_batch_with_nothing_to_recycle_has_no_streams():
    content = content_of(battery(1, rest_voltage_v=12.7))

    assert () == content.parts
    assert 0 == content.recycle.count
    assert ((Grade.RESALE, 1), (Grade.RECONDITIONABLE, 0)) == content.elsewhere


def test_streams_are_numbered_in_the_order_of_the_jurisdiction():
    content = content_of(battery(1, "LFP", case="swollen"), battery(2, **CRACKED))

    assert [(1, "lead-acid-damaged"), (2, "lfp-damaged")] == [
        (part.number, part.stream.key) for part in content.parts
    ]


def test_a_stream_has_its_batteries_total_and_heaviest():
    (part,) = content_of(
        battery(1, **CRACKED, mass_kg=14.5),
        battery(2, **CRACKED, mass_kg=21.0),
        battery(3, **CRACKED, rated_capacity_ah=None),
    ).parts

    assert ["B-001", "B-002", "B-003"] == [one.battery.tag for one in part.batteries]
    assert pytest.approx(35.5) == part.total.mass_kg
    assert 1 == part.total.without_mass
    assert 21.0 == part.largest_kg


def test_without_any_mass_there_is_no_heaviest():
    (part,) = content_of(battery(1, **CRACKED, rated_capacity_ah=None)).parts

    assert part.largest_kg is None


def test_unresolved_batteries_stand_apart_the_doubtful_lithium_first():
    content = content_of(
        battery(1, "gel", rest_voltage_v=12.7, row_errors=("It reads sixty.",)),
        battery(2, "LFP", rest_voltage_v=None, rested_h=None),
    )

    assert () == content.parts
    assert ["B-002", "B-001"] == [one.battery.tag for one in content.unresolved]


@pytest.mark.parametrize(
    ("doubtful", "chemistry", "fields"),
    [
        (True, "LFP", {"rest_voltage_v": None, "rested_h": None}),
        (True, "LFP", {"case": "swollen"}),
        (True, "LFP", {"case": None, "rest_voltage_v": 13.3}),
        (False, "LFP", {"rest_voltage_v": 13.3}),
        (True, "unknown", {"rest_voltage_v": 12.6}),
        (True, "other", {"rest_voltage_v": 12.6}),
        (False, "flooded", {"case": "cracked"}),
    ],
)
def test_lithium_not_known_to_be_intact_is_doubtful(doubtful, chemistry, fields):
    assert doubtful is is_doubtful_lithium(one_graded(1, chemistry, **fields))
