"""What a register counts."""

import pytest

from intake.model.battery import Chemistry
from intake.model.verdict import Evidence, Grade
from intake.report.register.views import (
    chemistry_counts,
    month_number,
    recycle_line,
    supplier_of,
    views_of,
    whole_line,
)
from tests.register.builders import graded, group
from tests.report.register_builders import mixed_register, register_of


def view(register, key):
    return next(one for one in views_of(register) if one.key == key)


def test_every_view_divides_the_same_whole():
    register = mixed_register()
    whole = whole_line(register)

    for one in views_of(register):
        expected = recycle_line(register) if one.key == "stream" else whole
        for name in (
            "count",
            "mass_g",
            "mass_estimated_g",
            "without_mass",
            "resale_proven",
            "owed",
            "owed_apart",
        ):
            assert getattr(expected, name) == sum(getattr(line, name) for line in one.lines), (one.key, name)


def test_a_batch_is_counted_once_in_each_line_it_has_a_battery_in():
    two = graded("A", groups=(group(), group(stream="lead-acid-damaged"), group("unresolved")))

    lines = {line.key: line.batches for line in view(register_of([two, graded("B")]), "grade").lines}

    assert {"resale-after-charge": 0, "reconditionable": 0, "recycle": 2, "unresolved": 1} == lines


def test_every_grade_has_a_line_and_the_other_views_only_what_occurs():
    register = register_of([graded("A", groups=(group("unresolved", "AGM"),))])

    assert 4 == len(view(register, "grade").lines)
    assert ["AGM"] == [line.key for line in view(register, "chemistry").lines]
    assert () == view(register, "stream").lines


def test_suppliers_are_alike_whatever_their_case_and_spacing_and_stand_in_alphabet():
    names = ("zinc Works", "Harbour  garage", "HARBOUR GARAGE", None, "  ")
    register = register_of([graded(f"B-{n}", received_from=name) for n, name in enumerate(names)])

    lines = view(register, "supplier").lines

    assert [("Harbour garage", 2), ("not given", 2), ("zinc Works", 1)] == [
        (line.title, line.batches) for line in lines
    ]
    assert "Harbour garage" == supplier_of(register.batches[1])


def test_jurisdictions_stand_in_the_order_of_the_rule_data_and_months_in_time():
    places = ("other", "UK", "EU", "US")
    ones = [
        graded(f"B-{n}", f"2026-{11 - n:02d}-15", jurisdiction=place) for n, place in enumerate(places[:3])
    ]

    register = register_of(ones)

    assert ["EU", "UK", "other"] == [line.key for line in view(register, "jurisdiction").lines]
    assert ["2026-09", "2026-10", "2026-11"] == [line.key for line in view(register, "month").lines]


def test_what_is_owed_a_test():
    line = whole_line(mixed_register())

    assert (6, 2, 4) == (line.by_grade[Grade.RESALE], line.resale_proven, line.resale_owed)
    assert 4 + 2 + 1 == line.owed


def test_of_what_is_owed_a_test_those_set_apart_are_counted():
    """Not those that go to the recycler, nor those for sale that a hold has shown."""
    groups = (
        group("recycle", count=4, apart=("A-1",)),
        group("unresolved", count=3, apart=("B-1", "B-2")),
        group("reconditionable", count=2, apart=("C-1",)),
        group("resale-after-charge", count=2, apart=("D-1",)),
        group("resale-after-charge", count=5, apart=("E-1",), evidence=Evidence.LONG_HOLD),
    )
    line = whole_line(register_of([graded("A", groups=groups)]))

    assert (7, 4) == (line.owed, line.owed_apart)


@pytest.mark.parametrize(
    ("figures", "expected", "without"),
    [((0.25, 0.5), 0.75, 0), ((0.25, None), 0.25, 1), ((None, None), None, 2)],
)
def test_expected_wrong_acceptances_are_summed_where_they_are_given(figures, expected, without):
    line = whole_line(register_of([graded(f"B-{n}", wrong_acceptances=one) for n, one in enumerate(figures)]))

    assert (expected, without) == (line.wrong_acceptances, line.without_figures)


def test_the_share_of_nothing_is_not_told():
    assert whole_line(register_of([])).share_percent(Grade.RESALE) is None
    assert 100.0 == whole_line(register_of([graded("A")])).share_percent(Grade.RECYCLE)


def test_chemistries_by_month():
    counts = chemistry_counts(mixed_register())

    assert 3 + 4 == counts["2026-09", Chemistry.FLOODED]
    assert 5 == counts["2026-11", Chemistry.AGM]
    assert 19 == sum(counts.values())


def test_a_month_is_a_number_to_a_spreadsheet():
    assert 202611 == month_number(graded("A", "2026-11-30").received)
