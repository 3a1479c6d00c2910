"""What is offered: by evidence, strongest first, and what to do with each."""

from decimal import Decimal

import pytest

from intake.model.battery import Chemistry, Price
from intake.model.verdict import Evidence
from intake.report.resale.content import resale_content
from tests.report.builders import battery, held, mixed_result, result_of
from tests.report.priced import priced_result


def content_of(*batteries, all_sheets=False, **batch):
    return resale_content(result_of(batteries, batch=batch), all_sheets=all_sheets)


def test_nothing_to_resell_leaves_no_section():
    assert () == content_of(battery(1, rest_voltage_v=9.0)).sections


def test_sections_stand_by_evidence_and_their_batteries_by_tag():
    content = content_of(
        battery(10, rest_voltage_v=12.75),
        battery(9, rest_voltage_v=12.75),
        held(3, "AGM", (0.5, 13.318), (1.0, 13.283)),
        held(4, "AGM", (24.0, 12.9)),
    )

    assert ["holds", "waits", "untested"] == [section.key for section in content.sections]
    assert ["B-004", "B-003", "B-009", "B-010"] == [one.graded.battery.tag for one in content.offers]


@pytest.mark.parametrize(
    ("one", "do"),
    [
        (battery(1, rest_voltage_v=12.75), "test first: hold 12 h"),
        (held(1, "AGM", (0.5, 13.318), (1.0, 13.283)), "test first: read at 12 h"),
        (held(1, "AGM", (24.0, 12.9)), "charge, then test or sell untested"),
    ],
)
def test_what_to_do_follows_from_the_evidence(one, do):
    assert [do] == [offer.do for offer in content_of(one).offers]


def test_a_capacity_that_was_measured_is_never_called_untested():
    """Without a hold reading the evidence stays that of the rest voltage; the page says what is known."""
    tested = {"delivered_capacity_ah": 57.0, "discharge_time_h": 20.0}
    content = content_of(
        battery(1, "LFP", rest_voltage_v=13.3, **tested),
        battery(2, "AGM", rest_voltage_v=11.9, **tested),
        battery(3, "AGM", rest_voltage_v=12.85),
    )
    measured, untested = content.sections

    assert ["B-001", "B-002"] == [one.graded.battery.tag for one in measured.offers]
    assert {Evidence.REST_ONLY} == {one.graded.verdict.evidence for one in content.offers}
    assert "Capacity measured; charge and hold first" == measured.title
    assert "rest" not in measured.told
    assert {"charge, hold 12 h first"} == {one.do for one in measured.offers}
    assert ["B-003"] == [one.graded.battery.tag for one in untested.offers]


def test_only_a_hold_or_a_strength_test_makes_a_sheet_and_sheets_are_numbered_in_order():
    ones = (battery(1, rest_voltage_v=12.75), held(2, "AGM", (24.0, 12.9)), held(3, "gel", (24.0, 12.9)))

    assert [1, 2, 0] == [offer.number for offer in content_of(*ones).offers]
    assert [1, 2, 3] == [offer.number for offer in content_of(*ones, all_sheets=True).offers]
    assert 2 == len(content_of(*ones).sheets)


def test_every_battery_for_resale_is_offered_once():
    content = resale_content(mixed_result(), all_sheets=False)

    assert 23 == len(content.offers) == sum(section.total.count for section in content.sections)


def test_a_price_is_that_of_chemistry_and_size():
    prices = (
        Price(Chemistry.FLOODED, "20", to_ah=50.0),
        Price(Chemistry.FLOODED, "30", from_ah=50.5, to_ah=80.0),
        Price(Chemistry.FLOODED, "40", from_ah=80.5),
    )
    sizes = (45.0, 60.0, 100.0, None)
    ones = [battery(n, rest_voltage_v=12.75, rated_capacity_ah=size) for n, size in enumerate(sizes)]

    assert ["20", "30", "40", None] == [offer.price for offer in content_of(*ones, prices=prices).offers]


ALL_PRICES = Price(Chemistry.AGM, "45.50", "0.60", "6", "2", "1")


def test_what_is_asked_and_what_is_earned_add_up_the_same_batteries():
    """The gel has a resale price but no cost, the second AGM no mass: neither is in any sum."""
    (section,) = content_of(
        held(1, "AGM", (24.0, 12.9), mass_kg=20.0),
        held(2, "AGM", (24.0, 12.9), mass_kg=None, rated_capacity_ah=None),
        held(3, "gel", (24.0, 12.9), mass_kg=20.0),
        prices=(ALL_PRICES, Price(Chemistry.GEL, "90")),
    ).sections

    assert (1, ("B-002", "B-003"), Decimal("45.50")) == (
        section.sums.count,
        section.sums.left_out,
        section.sums.asked,
    )
    assert section.sums.sold is not None
    assert "43.50" == section.sums.sold.text
    assert section.sums.scrapped is not None
    assert "11.00" == section.sums.scrapped.text


def test_where_only_resale_prices_are_given_they_are_added_up_alone():
    (section,) = content_of(
        held(1, "AGM", (24.0, 12.9)),
        held(2, "gel", (24.0, 12.9)),
        prices=(Price(Chemistry.AGM, "45.50"),),
    ).sections
    sums = section.sums

    assert (1, ("B-002",), Decimal("45.50")) == (sums.count, sums.left_out, sums.asked)
    assert (None, None) == (sums.sold, sums.scrapped)


def test_without_prices_there_is_no_sum_and_nothing_is_left_out_of_it():
    (section,) = content_of(held(1, "AGM", (24.0, 12.9)), prices=()).sections
    sums = section.sums

    assert (0, (), None, None, None) == (sums.count, sums.left_out, sums.asked, sums.sold, sums.scrapped)


def test_a_sum_that_no_battery_has_whole_is_not_there():
    (section,) = content_of(
        held(1, "AGM", (24.0, 12.9)),
        held(2, "gel", (24.0, 12.9), mass_kg=20.0),
        prices=(Price(Chemistry.AGM, "45.50"), Price(Chemistry.GEL, None, "0.60", None, None, "1")),
    ).sections
    sums = section.sums

    assert (0, ("B-001", "B-002"), None, None) == (sums.count, sums.left_out, sums.asked, sums.scrapped)


def test_what_stands_apart_is_neither_offered_at_a_price_nor_summed():
    content = content_of(
        held(1, "AGM", (24.0, 12.9), note="side dented"),
        held(2, "AGM", (24.0, 12.9)),
        battery(3, "LFP", rest_voltage_v=13.35, terminals="corroded"),
        prices=(
            Price(Chemistry.AGM, "45.50", "0.60", "6", "2", "1"),
            Price(Chemistry.LFP, "90", "0.10", "6", "2", "1"),
        ),
    )
    sections = {section.key: section for section in content.sections}
    apart = {offer.graded.battery.tag: offer for offer in sections["apart"].offers}

    assert {"holds", "apart"} == set(sections)
    assert Decimal("45.50") == sections["holds"].sums.asked
    assert sections["holds"].sums.sold is not None
    assert (None, None) == (sections["apart"].sums.asked, sections["apart"].sums.sold)
    assert [None, None] == [offer.price for offer in apart.values()]
    assert "set apart, look again first" == apart["B-001"].do
    assert apart["B-001"].told.startswith("the note says ")
    assert "set apart, qualified person only" == apart["B-003"].do
    assert "terminals corroded" == apart["B-003"].told
    assert [1, 0, 0] == [offer.number for offer in content.offers]


@pytest.mark.parametrize(
    ("readings", "do"),
    [
        (((24.0, 12.95),), "clean the terminals, then read again"),
        ((), "clean the terminals, charge, then hold 12 h"),
    ],
)
def test_corroded_terminals_are_cleaned_before_any_sale(readings, do):
    cranked = {"rated_cca_a": 600.0, "measured_cca_a": 590.0} if readings else {}
    one = held(1, "AGM", *readings, rest_voltage_v=12.85, terminals="corroded", **cranked)

    assert [do] == [offer.do for offer in content_of(one).offers]


def test_a_block_that_is_no_starter_is_not_sold_on_a_load_test():
    loaded = {"load_current_a": 180.0, "load_time_s": 15.0, "load_voltage_v": 10.9}
    other = held(1, "AGM", (24.0, 12.95), **loaded)
    starter = held(2, "AGM", (24.0, 12.95), rated_cca_a=400.0, **loaded)

    assert ["capacity test first", "charge, then sell"] == [
        offer.do for offer in content_of(other, starter).offers
    ]


def test_without_prices_nothing_is_worth_anything():
    content = content_of(battery(1, rest_voltage_v=12.75), prices=())

    assert not content.priced
    assert [(None, "", "")] == [(one.price, one.scrap, one.told) for one in content.offers]


def test_the_chance_from_which_a_charge_pays_is_told_as_one_in_so_many():
    """B-002: 48.00 if it passes, 9.00 if not, 11.00 as scrap: (11 - 9) / (48 - 9) is 1 in 19.5."""
    offers = {one.graded.battery.tag: one for one in resale_content(priced_result(), all_sheets=False).offers}

    assert "worth charging if 1 in 19 passes" == offers["B-002"].told
    assert "11.00" == offers["B-002"].scrap
    assert "50.00" == offers["B-002"].price


def test_a_missing_price_is_named():
    offers = content_of(battery(1, rest_voltage_v=12.75), prices=(Price(Chemistry.AGM, "45"),)).offers

    assert offers[0].told.startswith("not known without: ")
