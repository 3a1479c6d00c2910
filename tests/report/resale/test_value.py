"""What selling nets, as the resale list tells it."""

from dataclasses import replace
from decimal import Decimal

import pytest

from intake.model.battery import Chemistry, Price
from intake.model.paper import Paper
from intake.model.value import Amount
from intake.report.resale.content import resale_content
from intake.report.resale.value import is_valued, net_in_words, net_told
from intake.report.resale.write import write_resale
from tests.report.builders import LIMITS, battery, held, result_of
from tests.report.priced import AGM, priced_result
from tests.report.read_pdf import flat, texts


def list_page(folder, result, paper=Paper.A4):
    path = folder / "r.pdf"
    write_resale(replace(result, paper=paper), path, plot_limits=LIMITS)
    return path


def words(result, place=0):
    return net_in_words(result, result.graded[place])


def told(result):
    return net_told(result, resale_content(result))


def test_a_battery_that_held_is_told_with_its_scrap_value():
    assert "net 48.00; as scrap 11.00" == words(priced_result())


def test_one_whose_test_is_open_is_told_from_what_chance_its_charge_pays():
    assert "net 9.00 to 48.00; as scrap 11.00; charging pays from a chance of 5.2 %" == words(
        priced_result(), 1
    )


def test_what_is_not_given_is_named():
    result = priced_result(prices=(Price(Chemistry.AGM, "50.00", disposal_cost="0"),))
    assert "net not known; not given: Charge cost, Scrap price per kg" == words(result)
    assert not is_valued(result, resale_content(result))


def test_without_prices_and_for_other_grades_there_is_nothing_to_tell():
    assert "" == words(priced_result(prices=()))
    assert "" == words(priced_result(), 2)


def test_where_scrap_brings_more_it_says_so():
    result = priced_result(prices=(replace(AGM, resale_price="12.00"),))
    assert (
        "net 10.00; as scrap 11.00. "
        "Not worth charging and selling: EUR 10.00 if it passes, EUR 11.00 as scrap." == words(result)
    )


def expecting(result):
    """Return the result with 30.00 to be expected of the battery whose test is open."""
    row = result.graded[1].battery.row
    old = result.value.by_row[row]
    bench = replace(old.roads[0], expected=Amount(Decimal("30.00"), Decimal("30.00")))
    by_row = {**result.value.by_row, row: replace(old, roads=(bench, old.roads[1]))}
    return replace(result, value=replace(result.value, by_row=by_row))


def test_what_the_site_s_own_rate_lets_expect_is_told_beside_the_battery_and_in_sum():
    result = expecting(priced_result())
    assert "as scrap 11.00; to be expected 30.00; charging" in words(result, 1)
    assert "Those to be tested first: EUR 30.00 to be expected at the site's success rates." in told(result)
    assert "to be expected" not in told(priced_result())


def test_how_to_read_and_how_rounded_is_told():
    assert "A hold is no evidence of capacity." in told(priced_result())
    assert told(priced_result()).endswith("A chance is rounded up to 0.1 %.")
    assert "rounded" not in told(priced_result(prices=()))


def test_sums_stand_by_evidence_beside_scrap(tmp_path):
    first = flat(texts(list_page(tmp_path, priced_result()))[0])
    assert "sold, low EUR sold, high EUR scrap, low EUR scrap, high" in first
    assert "Held a charge for 12 h or more 48.00 48.00 11.00 11.00 0" in first
    assert "Held a charge for less than 12 h – – – – 0" in first
    assert "Both that held a charge 48.00 48.00 11.00 11.00 0" in first
    assert "Charge and hold-test first 9.00 48.00 11.00 11.00 0" in first
    assert "net 9.00 to 48.00; as scrap 11.00" in first


def test_batteries_without_a_net_value_are_counted(tmp_path):
    ones = (held(1, "AGM", (24.0, 12.9), mass_kg=20.0), held(2, "EFB", (24.0, 12.9), mass_kg=20.0))
    prices = (AGM, Price(Chemistry.EFB, "40.00"))
    first = flat(texts(list_page(tmp_path, result_of(ones, batch={"prices": prices})))[0])
    assert "Both that held a charge 48.00 48.00 11.00 11.00 1" in first
    assert "net not known; not given: Charge cost, Scrap price per kg, Disposal cost" in first


@pytest.mark.parametrize("prices", [(), (Price(Chemistry.AGM, None, "0.60", "6", "2", "1"),)])
def test_without_a_resale_price_the_list_tells_no_net_value(tmp_path, prices):
    text = flat(" ".join(texts(list_page(tmp_path, priced_result(prices=prices)))))
    assert "net " not in text.replace("without a net value", "")
    assert "Net value" not in text


def test_no_condition_sheet_tells_a_price_or_a_value(tmp_path):
    """A sheet goes to the buyer."""
    pages = texts(list_page(tmp_path, priced_result()))
    sheets = [flat(text) for text in pages if "Condition sheet" in text]
    assert sheets
    for text in sheets:
        assert not any(figure in text for figure in ("48.00", "50.00", "11.00", "EUR", "scrap"))


@pytest.mark.parametrize(("price", "below"), [("12345.67", False), ("1234567890.12", True)])
def test_a_price_too_long_for_its_column_stands_on_the_line_below(tmp_path, price, below):
    one = held(1, "AGM", (24.0, 12.9), mass_kg=20.0)
    result = result_of((one,), batch={"prices": (replace(AGM, resale_price=price),)})
    first = flat(texts(list_page(tmp_path, result))[0])
    assert below is (f"price {price}; net" in first)


def test_a_battery_without_a_mass_has_no_net_value():
    ones = (battery(1, "AGM", rest_voltage_v=12.9, rated_capacity_ah=None),)
    assert "net not known; not given: Mass (kg)" == words(result_of(ones, batch={"prices": (AGM,)}))
