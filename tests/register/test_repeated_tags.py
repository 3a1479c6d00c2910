"""The same battery in two batches."""

from intake.register.repeated_tags import repeated_tags
from tests.register.builders import QUARTER, graded


def test_a_tag_in_two_batches_is_named_whatever_its_case():
    later = graded("A", "2026-11-01", tags=("B-1", "B-2"))
    earlier = graded("B", "2026-09-01", tags=("b-1", "B-3"))

    (one,) = repeated_tags([later, earlier], QUARTER)

    assert "b-1" == one.tag
    assert [("B", "b-1", True), ("A", "B-1", True)] == [
        (seen.batch, seen.tag, seen.in_period) for seen in one.sightings
    ]


def test_twice_in_one_batch_is_no_matter_of_two_batches():
    assert () == repeated_tags([graded("A", tags=("B-1", "b-1")), graded("B", tags=("B-2",))], QUARTER)


def test_a_batch_outside_the_period_is_looked_at_too():
    outside, inside = graded("A", "2026-08-31", tags=("B-1",)), graded("B", tags=("B-1",))

    (one,) = repeated_tags([outside, inside], QUARTER)

    assert [False, True] == [seen.in_period for seen in one.sightings]


def test_both_outside_the_period_are_of_another_register():
    ones = [graded("A", "2026-08-31", tags=("B-1",)), graded("B", "2026-12-01", tags=("B-1",))]

    assert () == repeated_tags(ones, QUARTER)
