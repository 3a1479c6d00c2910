import pytest

from intake.model.battery import Chemistry, Price
from intake.model.like_findings import gather_like
from intake.model.price_bands import price_for
from tests.checks.builders import BATCH, GOOD, check_rows

EUR = {**BATCH, "Currency": "EUR"}
WHOLE = {
    "Chemistry": "flooded",
    "Resale price": 30,
    "Scrap price per kg": 0.5,
    "Recondition cost": 6,
    "Charge cost": 2,
    "Disposal cost": 0,
}


def warned(*prices, rows=(GOOD,)):
    findings = check_rows(*rows, batch=EUR, prices=prices).findings
    return [(one.place, one.message) for one in findings if one.sheet == "Prices"]


def test_whole_prices_are_no_warning():
    assert [] == warned(WHOLE)


def test_a_blank_that_a_battery_needs_is_named_with_its_chemistry_and_column():
    ((place, message),) = warned({**WHOLE, "Charge cost": None, "Disposal cost": None})
    assert "Prices!A2" == place
    assert message.startswith('Blank for flooded: "Charge cost" and "Disposal cost".')


def test_rows_that_lack_the_same_are_told_on_one_line_with_each_chemistry():
    blank = {**WHOLE, "Charge cost": None}
    prices = [{**blank, "Chemistry": kind} for kind in ("flooded", "AGM")] + [
        {**WHOLE, "Chemistry": "gel", "Resale price": None}
    ]
    rows = [
        {**GOOD, "Tag": f"B-{number}", "Chemistry": kind}
        for number, kind in enumerate(("flooded", "AGM", "gel"))
    ]
    found = check_rows(*rows, batch=EUR, prices=prices).findings
    same, other = gather_like(one for one in found if one.sheet == "Prices")
    assert "Prices!A2:A3" == same.place
    assert same.message == 'Blank for flooded, AGM: "Charge cost". No sum that needs it is made.'
    assert "write 0 where no money changes hands" in same.first.hint
    assert 'Blank for gel: "Resale price".' in other.message


def test_a_broken_battery_needs_what_recycling_needs():
    blank = {**WHOLE, "Resale price": None, "Recondition cost": None, "Charge cost": None}
    assert [] == warned(blank, rows=[{**GOOD, "Case": "cracked"}])
    ((_, message),) = warned({**WHOLE, "Scrap price per kg": None}, rows=[{**GOOD, "Case": "cracked"}])
    assert 'Blank for flooded: "Scrap price per kg".' in message


def test_a_row_that_no_battery_needs_may_be_blank():
    assert [] == warned(WHOLE, {"Chemistry": "gel"})


def test_a_chemistry_without_a_row_is_named_with_its_batteries():
    rows = [{**GOOD, "Tag": f"B-{number}", "Chemistry": "AGM"} for number in range(7)]
    ((place, message),) = warned(WHOLE, rows=rows)
    assert "Prices" == place
    assert "No row of prices for AGM: nothing is worked out for 7 batteries" in message
    assert "(B-0, B-1, B-2, B-3, B-4 …)" in message


@pytest.mark.parametrize("chemistry", ["unknown", "other", "SLA"])
def test_what_stays_unresolved_needs_no_price(chemistry):
    assert [] == warned(WHOLE, rows=[{**GOOD, "Chemistry": chemistry}])


def test_a_size_that_no_band_holds_is_named():
    band = {**WHOLE, "From (Ah)": 40, "To (Ah)": 60}
    sized = [{**GOOD, "Rated capacity (Ah)": size} for size in (40, 60)]
    for row in sized:
        assert [] == warned(band, rows=[row])
    for size in (39.9, 60.1):
        ((_, message),) = warned(band, rows=[{**GOOD, "Rated capacity (Ah)": size}])
        assert "No band of flooded is for 1 battery (B-1)" in message
    ((_, message),) = warned(band)
    assert "no rated capacity is given for 1 battery (B-1)" in message


ROWS = (
    Price(Chemistry.AGM, "1", to_ah=60),
    Price(Chemistry.AGM, "2", from_ah=60, to_ah=80),
    Price(Chemistry.AGM, "3", from_ah=90),
    Price(Chemistry.GEL, "4"),
)


@pytest.mark.parametrize(
    ("chemistry", "capacity", "expected"),
    [
        (Chemistry.AGM, 59.9, "1"),
        (Chemistry.AGM, 60, "2"),
        (Chemistry.AGM, 80, "2"),
        (Chemistry.AGM, 85, None),
        (Chemistry.AGM, 90, "3"),
        (Chemistry.AGM, 300, "3"),
        (Chemistry.AGM, None, None),
        (Chemistry.GEL, None, "4"),
        (Chemistry.GEL, 5, "4"),
        (Chemistry.EFB, 60, None),
    ],
)
def test_the_row_for_a_battery_goes_by_chemistry_and_size(chemistry, capacity, expected):
    found = price_for(ROWS, chemistry=chemistry, rated_capacity_ah=capacity)
    assert expected == (found and found.resale_price)
