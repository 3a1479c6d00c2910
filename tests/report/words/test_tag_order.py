"""Tags in the order in which people look for them."""

from hypothesis import given
from hypothesis import strategies as st

from intake.report.words.tag_order import by_tag, tag_key
from tests.report.builders import battery, result_of


def test_figures_are_sorted_by_their_value_and_case_does_not_matter():
    tags = ["B-10", "b-2", "A-30", "B-1", "B", "7", "70", "8"]

    assert ["7", "8", "70", "A-30", "B", "B-1", "b-2", "B-10"] == sorted(tags, key=tag_key)


def test_batteries_of_one_tag_stand_by_row():
    ones = [battery(number, tag="B-1", rest_voltage_v=12.7) for number in (3, 1, 2)]

    assert [5, 6, 7] == [one.battery.row for one in by_tag(result_of(ones).graded)]


@given(st.lists(st.text(max_size=12)))
def test_any_tags_can_be_sorted(tags):
    assert len(tags) == len(sorted(tags, key=tag_key))
