"""The lot: the draw, the exact limit, the sample that would be enough, and what is to be expected."""

import hashlib
import math

import pytest

from intake.grading.lot import (
    draw_order,
    kind_of,
    lot_of,
    most_unfit,
    probability_of_at_most,
    sample_size,
    strongest_reading,
    unfit_share,
)
from intake.model.lot import Expected, LotKind, Sampled
from intake.model.verdict import Evidence, Grade
from tests.changed import replace
from tests.grading.builders import POLICY, battery, graded, held, policy_with

DISCHARGED = {"rated_capacity_ah": 60.0, "discharge_time_h": 20.0}
LOADED = {"load_voltage_v": 9.9, "load_current_a": 250.0, "load_time_s": 15.0}


def agm(tag, **fields):
    """Return an AGM block without a cranking rating that a long hold sells."""
    return replace(held("AGM", (12.0, 13.0), **fields), tag=tag)


def lot(*ones, policy=POLICY):
    return lot_of("P-1", [(one, graded(one)) for one in ones], policy=policy)


def ordered(*tags, batch="P-1"):
    return tuple(sorted(tags, key=lambda tag: hashlib.sha256(f"{batch}/{tag}".encode()).hexdigest()))


def test_nobody_chooses_who_is_drawn():
    tags = [f"B-{number}" for number in range(40)]
    assert ordered(*tags) == draw_order("P-1", tags) == draw_order("P-1", tags[::-1])
    assert draw_order("P-1", tags) != draw_order("P-2", tags)


@pytest.mark.parametrize(
    ("one", "kind"),
    [
        (battery("EFB", rated_cca_a=500.0), LotKind.STARTER),
        (battery("EFB"), LotKind.LEAD_ACID),
        (battery("LFP", rated_cca_a=500.0), LotKind.LFP),
    ],
)
def test_starters_other_lead_acid_and_lithium_are_drawn_apart(one, kind):
    assert kind is kind_of(one)


def test_the_chance_of_few_failures_is_that_of_drawing_without_putting_back():
    """5 of 50 unfit, 10 drawn, none of them: 45!/35! over 50!/40!."""
    expected = math.comb(45, 10) / math.comb(50, 10)
    assert pytest.approx(expected) == probability_of_at_most(0, offered=50, unfit=5, drawn=10)
    one = 5 * math.comb(45, 9) / math.comb(50, 10)
    assert pytest.approx(expected + one) == probability_of_at_most(1, offered=50, unfit=5, drawn=10)
    assert 1.0 == probability_of_at_most(5, offered=50, unfit=5, drawn=10)


@pytest.mark.parametrize(
    ("offered", "drawn", "failed", "expected"),
    [
        (50, 19, 0, 5),
        (50, 18, 0, 6),
        (50, 50, 3, 3),
        (50, 10, 10, 50),
        (1, 1, 0, 0),
        (1, 1, 1, 1),
        (20, 1, 0, 18),
    ],
)
def test_the_limit_is_the_largest_number_that_the_draw_does_not_refute(offered, drawn, failed, expected):
    found = most_unfit(offered, drawn=drawn, failed=failed, risk=0.05)
    assert expected == found
    assert probability_of_at_most(failed, offered=offered, unfit=found, drawn=drawn) > 0.05
    if found < offered - (drawn - failed):
        assert probability_of_at_most(failed, offered=offered, unfit=found + 1, drawn=drawn) <= 0.05


@pytest.mark.parametrize("offered", [1, 2, 9, 10, 19, 20, 50, 137])
def test_the_sample_is_the_smallest_that_is_enough(offered):
    found = sample_size(offered, most_share=0.10, risk=0.05)
    tolerated = math.floor(0.10 * offered)
    assert most_unfit(offered, drawn=found, failed=0, risk=0.05) <= tolerated
    assert found == 1 or most_unfit(offered, drawn=found - 1, failed=0, risk=0.05) > tolerated


def test_where_all_may_be_unfit_nothing_has_to_be_drawn():
    assert 0 == sample_size(5, most_share=1.0, risk=0.05)


def test_before_a_test_nothing_is_known_and_the_draw_is_named():
    ones = [agm(f"B-{number}") for number in range(10)]
    (found,) = lot(*ones).sampled
    tags = ordered(*(one.tag for one in ones))
    assert Sampled(LotKind.LEAD_ACID, 10, 0, 0, None, 8, tags[:8]) == found


def test_tests_count_in_the_order_of_the_draw_as_far_as_they_go():
    """First and third tested: the third was tested out of turn and is not in the lot any more."""
    tags = ordered(*(f"B-{number}" for number in range(10)))
    passed = DISCHARGED | {"delivered_capacity_ah": 60.0}
    ones = [agm(tag, **(passed if place in (0, 2) else {})) for place, tag in enumerate(tags)]
    (found,) = lot(*ones).sampled
    assert (9, 1, 0) == (found.offered, found.drawn, found.failed)
    assert most_unfit(9, drawn=1, failed=0, risk=0.05) == found.unfit_at_most
    assert tuple(tag for place, tag in enumerate(tags) if place != 2) == found.draw
    assert 10 == lot(*ones).offered


@pytest.mark.parametrize("delivered_ah", [46.0, 20.0])
def test_one_that_failed_its_test_was_on_offer_before_it(delivered_ah):
    tags = ordered("B-1", "B-2")
    failed = agm(tags[0], delivered_capacity_ah=delivered_ah, **DISCHARGED)
    assert graded(failed).grade is not Grade.RESALE
    (found,) = lot(failed, agm(tags[1])).sampled
    assert (2, 1, 1, 2) == (found.offered, found.drawn, found.failed, found.unfit_at_most)
    assert 1 == lot(failed, agm(tags[1])).offered


def test_one_that_is_flat_after_its_failed_test_was_on_offer_before_it_too():
    flat = replace(battery("AGM", rest_voltage_v=11.8, delivered_capacity_ah=30.0, **DISCHARGED), tag="B-1")
    (found,) = lot(flat).sampled
    assert (1, 1, 1) == (found.offered, found.drawn, found.failed)


def test_a_ratio_of_just_four_fifths_is_no_failure():
    one = agm("B-1", delivered_capacity_ah=80.0, rated_capacity_ah=100.0, discharge_time_h=16.0)
    (found,) = lot(one).sampled
    assert (1, 0) == (found.drawn, found.failed)


def test_what_something_else_keeps_from_sale_was_never_on_offer():
    passed = DISCHARGED | {"delivered_capacity_ah": 60.0}
    ones = [
        agm("B-1", case="leaking"),
        agm("B-2", case="leaking", **passed),
        agm("B-3", terminals="loose", **passed),
    ]
    assert ((), 0, (), 0, 0) == (lot(*ones).sampled, lot(*ones).offered, lot(*ones).expected, 0, 0)


def test_a_note_keeps_nothing_from_sale():
    (found,) = lot(agm("B-1", terminals="corroded", delivered_capacity_ah=60.0, **DISCHARGED)).sampled
    assert 1 == found.offered


@pytest.mark.parametrize(
    ("one", "reading"),
    [
        (battery("flooded", rest_voltage_v=12.6), "rest"),
        (held("flooded", (0.5, 13.0)), "hold"),
        (held("flooded", (12.0, 13.0)), "hold"),
        (held("flooded", (12.0, 13.0), rated_cca_a=500.0, **LOADED), "load"),
        (held("flooded", (12.0, 13.0), measured_cca_a=450.0, rated_cca_a=500.0), "cranking"),
        (held("flooded", (12.0, 13.0), measured_cca_a=450.0, rated_cca_a=500.0, **LOADED), "cranking"),
        (held("flooded", (12.0, 13.0), delivered_capacity_ah=60.0, **DISCHARGED), "capacity"),
    ],
)
def test_the_strongest_reading_that_counts_gives_the_ratio(one, reading):
    assert reading == strongest_reading(one, graded(one).evidence, policy=POLICY)


def test_evidence_of_strength_without_a_load_test_is_a_cranking_reading():
    assert "cranking" == strongest_reading(battery("flooded"), Evidence.STRENGTH, policy=POLICY)


@pytest.mark.parametrize(
    ("prior", "ratio", "expected"), [(0.5, 1.0, 0.5), (0.2, 1.3, 0.2 / 1.24), (0.5, 5.0, 1 / 6)]
)
def test_the_share_unfit_follows_from_the_prior_and_the_ratio(prior, ratio, expected):
    assert pytest.approx(expected) == unfit_share(prior, ratio)


def test_what_is_to_be_expected_is_summed_with_the_chance_of_the_draw():
    ones = [agm(f"B-{number}") for number in range(9)] + [
        replace(battery("flooded", rest_voltage_v=12.6), tag=f"R-{number}") for number in range(4)
    ]
    found = lot(*ones)
    rest = [4 * prior / (prior + (1 - prior) * 1.1) for prior in (0.2, 0.5)]
    hold = [9 * prior / (prior + (1 - prior) * 1.3) for prior in (0.2, 0.5)]
    assert (
        Expected("rest", 4, *(pytest.approx(one) for one in rest)),
        Expected("hold", 9, *(pytest.approx(one) for one in hold)),
    ) == found.expected
    ends = []
    for place, z in ((0, -1.6448536), (1, 1.6448536)):
        shares = [(4, rest[place] / 4), (9, hold[place] / 9)]
        spread = math.sqrt(sum(count * share * (1 - share) for count, share in shares))
        ends.append(rest[place] + hold[place] + z * spread)
    assert (max(0, math.floor(ends[0])), math.ceil(ends[1])) == (found.unfit_low, found.unfit_high)
    assert (13, False, 0.10, "from simulation") == (
        found.offered,
        found.own_share,
        found.most_unfit_share,
        found.status,
    )


def test_a_sites_own_share_takes_the_place_of_the_range():
    own = replace(POLICY.lot.unfit_share_low, value=0.3)
    policy = replace(POLICY, lot=replace(POLICY.lot, unfit_share=own))
    found = lot(*(agm(f"B-{number}") for number in range(10)), policy=policy)
    share = 0.3 / (0.3 + 0.7 * 1.3)
    spread = 1.6448536 * math.sqrt(10 * share * (1 - share))
    assert found.own_share
    assert (math.floor(10 * share - spread), math.ceil(10 * share + spread)) == (
        found.unfit_low,
        found.unfit_high,
    )


def test_the_range_stays_within_what_is_offered():
    found = lot(agm("B-1"))
    assert (0, 1) == (found.unfit_low, found.unfit_high)
    sure = replace(POLICY.lot.unfit_share_low, value=1.0)
    none = replace(POLICY.lot.unfit_share_low, value=0.0)
    for own, expected in ((sure, (2, 2)), (none, (0, 0))):
        policy = replace(POLICY, lot=replace(POLICY.lot, unfit_share=own))
        found = lot(agm("B-1"), agm("B-2"), policy=policy)
        assert expected == (found.unfit_low, found.unfit_high)


def test_the_sample_is_by_the_policys_share_and_confidence():
    ones = [agm(f"B-{number}") for number in range(50)]
    assert 19 == lot(*ones).sampled[0].sample
    assert 19 < lot(*ones, policy=policy_with(lot__most_unfit_share=0.05)).sampled[0].sample
    assert 19 > lot(*ones, policy=policy_with(lot__confidence=0.8)).sampled[0].sample


def test_what_is_to_be_expected_goes_by_each_batterys_own_strongest_reading():
    loaded = replace(held("flooded", (12.0, 13.0), rated_cca_a=500.0, **LOADED), tag="L-1")
    cranked = replace(held("flooded", (12.0, 13.0), measured_cca_a=450.0, rated_cca_a=500.0), tag="C-1")
    found = lot(agm("B-1"), cranked, loaded).expected
    assert [("hold", 1), ("load", 1), ("cranking", 1)] == [(one.reading, one.offered) for one in found]


def test_a_sample_whose_chance_is_just_the_risk_is_enough():
    """1 of 20 unfit, 19 drawn, none found: 1 in 20."""
    assert 19 == sample_size(20, most_share=0.04, risk=0.05)
