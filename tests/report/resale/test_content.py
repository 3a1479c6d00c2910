"""Which batteries are offered, in what order, and what their prices sum to."""

from decimal import Decimal

from intake.model.battery import Chemistry, Price
from intake.report.resale.content import resale_content
from tests.report.builders import battery, held, result_of

REST = {"rest_voltage_v": 12.75}


def tags(section):
    return [offer.graded.battery.tag for offer in section.offers]


def content_of(batteries, **batch):
    return resale_content(result_of(batteries, batch=batch))


def shelf():
    return [
        battery(1, "flooded", **REST),
        held(2, "AGM", (0.5, 13.318), (1.0, 13.283)),
        held(3, "AGM", (0.5, 13.1), (24.0, 12.9)),
        battery(4, "flooded", rest_voltage_v=10.0),
        held(5, "AGM", (0.5, 13.1), (24.0, 12.9)),
        battery(6, "AGM", case="cracked", rest_voltage_v=12.9),
    ]


def test_long_holds_stand_before_short_ones_and_rest_only_last():
    assert [["B-003", "B-005"], ["B-002"], ["B-001"]] == [tags(one) for one in content_of(shelf()).sections]


def test_only_the_first_two_sections_are_proven():
    assert [True, True, False] == [one.proven for one in content_of(shelf()).sections]


def test_sheets_are_numbered_through_all_sections():
    assert [1, 2, 3, 4] == [offer.number for offer in content_of(shelf()).offers]


def test_prices_are_summed_exactly_and_missing_ones_counted():
    prices = (Price(Chemistry.AGM, "45.10", None, None, None, None), Price(Chemistry.LFP, "99"))
    content = content_of(shelf(), prices=prices, currency="EUR")
    assert (True, "EUR") == (content.priced, content.currency)
    assert [Decimal("90.20"), Decimal("45.10"), Decimal(0)] == [one.value for one in content.sections]
    assert [0, 0, 1] == [one.without_price for one in content.sections]
    assert ["45.10", "45.10", "45.10", None] == [offer.price for offer in content.offers]


def test_prices_of_other_things_are_no_resale_price():
    assert not content_of(shelf(), prices=(Price(Chemistry.AGM, None, "0.5", "3", "1", "0"),)).priced


def test_a_batch_with_nothing_to_resell_has_three_empty_sections():
    content = content_of([battery(1, rest_voltage_v=9.0)])
    assert [0, 0, 0] == [one.total.count for one in content.sections]
    assert () == content.offers
