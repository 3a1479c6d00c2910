"""What each road is worth: sums worked out by hand, in exact decimals."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.model.battery import Battery, Chemistry, Price
from intake.model.result import GradedBattery
from intake.model.value import Amount, Road
from intake.model.verdict import Effect, Evidence, Grade, Handling, Step, Verdict
from intake.policy.cited import CitedValue, Status
from intake.policy.grading_policy import load_grading_policy
from intake.worth.value import value_batch, value_battery
from tests.changed import replace
from tests.report.builders import batch_of

POLICY = load_grading_policy()
AGM = Price(Chemistry.AGM, "50.00", "0.60", "6.00", "2.00", "1.00")


def graded(
    grade="reconditionable",
    evidence="rest-only",
    *,
    mass=20.0,
    estimated=False,
    p=None,
    chemistry="AGM",
    row=5,
):
    step = Step("rule", fired=True, effect=Effect(grade), text="", probability=p)
    verdict = Verdict(Grade(grade), Evidence(evidence), Handling.INTACT, "", (step,), (step,))
    one = Battery(f"B-{row}", row, Chemistry(chemistry))
    return GradedBattery(one, verdict, None, mass, estimated)


def with_rates(**rates):
    """Return the policy with the site's own success rates for AGM."""
    groups = {
        f"{name}_success": {Chemistry.AGM: CitedValue(rate, "1", "own count", Status.SITE_CHOICE)}
        for name, rate in rates.items()
    }
    return replace(POLICY, bench=replace(POLICY.bench, **groups))


def value(price=AGM, *args, policy=POLICY, currency="EUR", **fields):
    return value_battery(graded(*args, **fields), price, currency=currency, policy=policy)


def amount(low, high=None):
    return Amount(Decimal(low), Decimal(low if high is None else high))


def test_each_grade_has_the_roads_that_it_allows_and_no_other():
    roads = {grade: [one.road for one in value(AGM, grade.value, p=0.99).roads] for grade in Grade}
    assert {
        Grade.RESALE: [Road.RESELL, Road.RECYCLE],
        Grade.RECONDITIONABLE: [Road.RECONDITION, Road.RECYCLE],
        Grade.RECYCLE: [Road.RECYCLE],
        Grade.UNRESOLVED: [],
    } == roads


def test_recycling_is_mass_times_scrap_price_less_disposal():
    (one,) = value(AGM, "recycle", mass=20.5).roads
    assert amount("11.30") == one.amount  # 20.5 x 0.60 - 1.00
    assert "20.5 kg × 0.60 scrap price − 1.00 disposal = 11.30" == one.working
    assert (None, None, None) == (one.success, one.failure, one.break_even)


def test_an_estimated_mass_leaves_an_interval_of_twenty_percent():
    (one,) = value(AGM, "recycle", mass=20.0, estimated=True).roads
    assert amount("8.60", "13.40") == one.amount  # 16 x 0.60 - 1 and 24 x 0.60 - 1
    assert one.working.startswith("estimated 20.0 kg ± 20 % × 0.60")


def test_recycling_that_costs_money_is_negative_and_its_ends_are_in_order():
    price = replace(AGM, scrap_price_per_kg="-0.10", disposal_cost="9.80")
    (one,) = value(price, "recycle", mass=10.0, estimated=True).roads
    assert amount("-11.00", "-10.60") == one.amount


def test_reconditioning_lies_between_failing_and_passing():
    bench, recycle = value().roads
    assert amount("11.00") == recycle.amount  # 20 x 0.60 - 1
    assert Decimal("44.00") == bench.success  # 50 - 6
    assert amount("5.00") == bench.failure  # 11 - 6
    assert amount("5.00", "44.00") == bench.amount
    assert Decimal("0.154") == bench.break_even  # 6 / (50 - 11) = 0.15385, rounded up
    assert bench.expected is None
    assert (
        "passed: resale price 50.00 − reconditioning 6.00 = 44.00; "
        "if not: as scrap 11.00 − reconditioning 6.00 = 5.00" == bench.working
    )


def test_a_charge_whose_test_is_open_lies_between_failing_and_passing():
    bench = value(AGM, "resale-after-charge").roads[0]
    assert amount("9.00", "48.00") == bench.amount  # 11 - 2 and 50 - 2
    assert Decimal("0.052") == bench.break_even  # 2 / 39 = 0.05128


@pytest.mark.parametrize("evidence", ["short-hold", "long-hold"])
def test_a_hold_counts_with_its_probability_and_leaves_no_test_open(evidence):
    bench = value(AGM, "resale-after-charge", evidence, p=0.96, policy=with_rates(charge=0.5)).roads[0]
    assert amount("46.44", "48.00") == bench.amount  # 0.96 x 48 + 0.04 x 9
    assert (None, None) == (bench.break_even, bench.expected)
    assert bench.working.startswith("truly above its limit (P = 0.960): resale price 50.00")


@pytest.mark.parametrize(
    ("p", "told"), [(0.999, "(P = 0.999)"), (0.99901, "(P > 0.999)"), (1.0, "(P > 0.999)")]
)
def test_a_probability_is_never_printed_as_certainty(p, told):
    assert told in value(AGM, "resale-after-charge", "long-hold", p=p).roads[0].working


def test_the_site_s_own_rates_give_an_expected_value():
    policy = with_rates(charge=0.75, recondition=0.3)
    assert amount("16.70") == value(policy=policy).roads[0].expected  # 0.3 x 44 + 0.7 x 5
    told = "; to be expected at a success rate of 0.3 (own count): 16.70"
    assert value(policy=policy).roads[0].working.endswith(told)
    charged = value(AGM, "resale-after-charge", policy=policy).roads[0]
    assert amount("38.25") == charged.expected  # 0.75 x 48 + 0.25 x 9
    gel = value(replace(AGM, chemistry=Chemistry.GEL), chemistry="gel", policy=policy).roads[0]
    assert gel.expected is None


def test_an_expected_value_has_the_interval_of_the_mass():
    bench = value(mass=20.0, estimated=True, policy=with_rates(recondition=0.5)).roads[0]
    assert amount("23.30", "25.70") == bench.expected  # 0.5 x 44 + 0.5 x (2.60 to 7.40)
    assert Decimal("0.164") == bench.break_even  # of the heaviest: 6 / (50 - 13.40) = 0.16393


@pytest.mark.parametrize(
    ("resale", "chance", "advice", "worth_it"),
    [
        ("17.01", "0.999", "", True),  # 6 / 6.01 = 0.99834
        ("17.00", "1.000", "", True),  # passed 11.00, as scrap 11.00
        ("16.99", None, "Not worth reconditioning: EUR 10.99 if it passes, EUR 11.00 as scrap.", False),
        ("11.00", None, "Not worth reconditioning: EUR 5.00 if it passes, EUR 11.00 as scrap.", False),
        ("10.00", None, "Not worth reconditioning: EUR 4.00 if it passes, EUR 11.00 as scrap.", False),
    ],
)
def test_both_sides_of_what_certain_success_brings(resale, chance, advice, worth_it):
    found = value(replace(AGM, resale_price=resale))
    assert chance == (found.roads[0].break_even and str(found.roads[0].break_even))
    assert (advice, worth_it) == (found.advice, found.worth_it)


@pytest.mark.parametrize(
    ("rate", "advice", "worth_it"),
    [
        (0.154, "", True),  # 6 / 39 = 0.15385
        (
            0.153,
            (
                "Not worth reconditioning: EUR 10.97 to be expected at the site's success rate of 15.3 %, "
                "EUR 11.00 as scrap."
            ),
            False,
        ),
    ],
)
def test_both_sides_of_break_even_at_the_site_s_own_rate(rate, advice, worth_it):
    found = value(policy=with_rates(recondition=rate))
    assert (advice, worth_it) == (found.advice, found.worth_it)


def test_where_even_certain_success_would_not_do_the_rate_is_not_told():
    found = value(replace(AGM, resale_price="16.99"), policy=with_rates(recondition=0.9))
    assert "Not worth reconditioning: EUR 10.99 if it passes, EUR 11.00 as scrap." == found.advice


def test_where_certain_success_would_just_do_the_rate_is_told():
    found = value(replace(AGM, resale_price="17.00"), policy=with_rates(recondition=0.9))
    told = "EUR 10.40 to be expected at the site's success rate of 90.0 %"  # 0.9 x 11 + 0.1 x 5
    assert f"Not worth reconditioning: {told}, EUR 11.00 as scrap." == found.advice


def test_where_the_mass_decides_whether_certain_success_would_do_the_rate_is_told():
    found = value(
        replace(AGM, resale_price="16.00"), mass=20.0, estimated=True, policy=with_rates(recondition=0.5)
    )
    told = "EUR 6.30 to 8.70 to be expected at the site's success rate of 50.0 %"  # 5 + half of 2.60 to 7.40
    assert f"Not worth reconditioning: {told}, EUR 8.60 to 13.40 as scrap." == found.advice


def test_the_uncertainty_of_a_mass_is_the_policy_s():
    uncertain = replace(POLICY.mass.relative_uncertainty, value=0.9)
    policy = replace(POLICY, mass=replace(POLICY.mass, relative_uncertainty=uncertain))
    (one,) = value(AGM, "recycle", mass=20.0, estimated=True, policy=policy).roads
    assert amount("0.20", "21.80") == one.amount  # 2 x 0.60 - 1 and 38 x 0.60 - 1
    assert one.working.startswith("estimated 20.0 kg ± 90 % ×")


def test_mass_and_probability_count_as_they_are_printed():
    """To the gram, and to six decimals."""
    (scrap,) = value(replace(AGM, scrap_price_per_kg="100"), "recycle", mass=20.0004).roads
    assert amount("1999.00") == scrap.amount
    sold = value(replace(AGM, resale_price="1000000000"), "resale-after-charge", "long-hold", p=0.9600004)
    assert Decimal("959999998.44") == sold.roads[0].amount.low  # 0.96 x 999999998 + 0.04 x 9


def test_a_hold_without_a_probability_counts_for_nothing():
    assert amount("9.00", "48.00") == value(AGM, "resale-after-charge", "long-hold", p=None).roads[0].amount


def test_an_estimated_mass_that_decides_leaves_it_open_and_asks_for_the_scales():
    found = value(replace(AGM, resale_price="16.00"), mass=20.0, estimated=True, currency="")
    assert (
        "May not be worth reconditioning: 10.00 if it passes, 8.60 to 13.40 as scrap; "
        "the mass is estimated: weigh it first." == found.advice
    )
    assert found.worth_it is None
    assert found.roads[0].break_even is None


@pytest.mark.parametrize(
    ("resale", "worth_it"), [("14.60", None), ("14.59", False), ("19.40", True), ("19.39", None)]
)
def test_an_estimated_mass_has_two_limits(resale, worth_it):
    """Scrap is 8.60 to 13.40, the work 6.00."""
    assert worth_it is value(replace(AGM, resale_price=resale), mass=20.0, estimated=True).worth_it


def test_a_battery_for_resale_that_is_worth_more_as_scrap_says_so():
    found = value(replace(AGM, resale_price="12.00"), "resale-after-charge", "long-hold", p=0.99)
    assert "Not worth charging and selling: EUR 10.00 if it passes, EUR 11.00 as scrap." == found.advice


@pytest.mark.parametrize("cost", ["0", "-1.50"])
def test_work_that_costs_nothing_pays_from_no_chance_at_all(cost):
    assert "0.000" == str(value(replace(AGM, recondition_cost=cost)).roads[0].break_even)


@pytest.mark.parametrize(
    ("changes", "mass", "bench_missing", "recycle_missing"),
    [
        ({"resale_price": None}, 20.0, ("Resale price",), None),
        ({"recondition_cost": None}, 20.0, ("Recondition cost",), None),
        ({"charge_cost": None}, 20.0, None, None),
        ({"scrap_price_per_kg": None}, 20.0, ("Scrap price per kg",), ("Scrap price per kg",)),
        ({"disposal_cost": None}, 20.0, ("Disposal cost",), ("Disposal cost",)),
        ({}, None, ("Mass (kg)",), ("Mass (kg)",)),
        (
            {"resale_price": None, "disposal_cost": None},
            None,
            ("Resale price", "Disposal cost", "Mass (kg)"),
            ("Disposal cost", "Mass (kg)"),
        ),
    ],
)
def test_a_blank_price_is_not_taken_for_nothing(changes, mass, bench_missing, recycle_missing):
    found = value(replace(AGM, **changes), mass=mass)
    for road, missing in zip(found.roads, (bench_missing, recycle_missing), strict=True):
        assert (missing or ()) == road.missing
        assert (road.amount is None) is bool(missing)
    assert ("", None if bench_missing else True) == (found.advice, found.worth_it)


def test_what_passing_brings_is_known_without_a_scrap_price():
    assert Decimal("44.00") == value(replace(AGM, scrap_price_per_kg=None)).roads[0].success
    assert value(replace(AGM, recondition_cost=None)).roads[0].success is None


@pytest.mark.parametrize(
    ("price", "rounded"),
    [("10.005", "10.00"), ("10.015", "10.02"), ("10.0150001", "10.02"), ("-0.001", "0.00")],
)
def test_amounts_are_rounded_half_to_even_and_never_to_a_negative_zero(price, rounded):
    bench = value(replace(AGM, resale_price=price, recondition_cost="0")).roads[0]
    assert rounded == str(bench.success)


def test_amounts_stay_exact_until_the_end():
    """A price of 60 digits; 28 digits of working would carry the half up."""
    price = replace(AGM, resale_price="123456789012.005" + "0" * 40 + "1", recondition_cost="0")
    assert "123456789012.01" == str(value(price).roads[0].success)


def test_without_prices_there_is_no_value():
    assert value_batch([graded()], batch_of([], prices=()), policy=POLICY) is None


def test_a_chemistry_without_a_row_of_prices_has_its_roads_and_no_amount():
    ones = [graded(row=5), graded(row=6, chemistry="gel")]
    found = value_batch(ones, batch_of([], prices=(AGM,), currency=None), policy=POLICY)
    assert found is not None
    assert ("", [5, 6]) == (found.currency, list(found.by_row))
    assert [True, None] == [one.worth_it for one in found.by_row.values()]
    assert "Scrap price per kg" in found.by_row[6].roads[1].missing
    assert "half to the even digit" in found.rounding


cents = st.integers(-2000, 20000).map(lambda cent: str(Decimal(cent) / 100))
costs = st.integers(0, 9000).map(lambda cent: str(Decimal(cent) / 100))
situations = st.sampled_from(
    [
        ("reconditionable", "rest-only"),
        ("resale-after-charge", "rest-only"),
        ("resale-after-charge", "long-hold"),
    ]
)


@st.composite
def prices(draw):
    return Price(Chemistry.AGM, draw(cents), draw(cents), draw(costs), draw(costs), draw(costs))


@given(
    prices(),
    situations,
    st.sampled_from(["recondition_cost", "charge_cost", "disposal_cost"]),
    costs,
    st.booleans(),
    st.sampled_from([0.0, 0.3, 1.0]),
)
def test_a_higher_cost_never_raises_a_net_value(price, situation, cost, more, estimated, rate):
    policy = with_rates(charge=rate, recondition=rate)
    dearer = replace(price, **{cost: str(Decimal(getattr(price, cost)) + Decimal(more))})
    before, after = (
        value(one, *situation, p=0.97, estimated=estimated, policy=policy).roads for one in (price, dearer)
    )
    for old, new in zip(before, after, strict=True):
        assert new.amount.low <= old.amount.low
        assert new.amount.high <= old.amount.high
        assert old.success is None or new.success <= old.success
        assert old.expected is None or new.expected.high <= old.expected.high


@given(prices(), situations, st.booleans())
def test_at_the_break_even_chance_the_road_nets_no_less_than_recycling(price, situation, estimated):
    bench, _ = value(price, *situation, p=0.97, estimated=estimated).roads
    if bench.break_even is None:
        return
    assert 0 <= bench.break_even <= 1
    for mass in ("16", "24") if estimated else ("20",):
        scrap = Decimal(mass) * Decimal(price.scrap_price_per_kg) - Decimal(price.disposal_cost)
        resale = Decimal(price.resale_price)
        cost = Decimal(price.charge_cost if bench.road is Road.RESELL else price.recondition_cost)
        if resale >= scrap:
            assert bench.break_even * (resale - scrap) >= cost


@given(prices(), situations)
def test_ends_are_in_order_and_advice_stands_where_the_work_is_not_worth_it(price, situation):
    found = value(price, *situation, p=0.97, estimated=True)
    for road in found.roads:
        assert road.amount.low <= road.amount.high
    assert bool(found.advice) is (found.worth_it is not True)


def test_a_battery_that_stands_apart_has_no_value_as_a_sale_until_it_was_seen_to():
    apart = replace(graded("resale-after-charge"), look_again='the note says "dented"')
    found = value_battery(apart, AGM, currency="EUR", policy=POLICY)
    resell, recycle = found.roads

    assert (Road.RESELL, None, ("a second look",)) == (resell.road, resell.amount, resell.missing)
    assert amount("11.00") == recycle.amount
    assert ("", None) == (found.advice, found.worth_it)


def test_reconditioning_is_worth_what_it_was_where_a_battery_stands_apart():
    apart = replace(graded("reconditionable"), look_again='the note says "dented"')

    assert value(AGM, "reconditionable") == value_battery(apart, AGM, currency="EUR", policy=POLICY)
