"""What the resale lot is worth, in sentences."""

import pytest

from intake.model.lot import Lot, LotKind, Sampled
from intake.report.words.lot import lot_in_words
from tests.changed import replace

UNTESTED = Sampled(LotKind.STARTER, 10, 0, 0, None, 8, tuple("ABCDEFGH"))
LOT = Lot(10, (UNTESTED,), (), 1, 5, False, 0.10, "from simulation")


def told(sampled, *, on_offer=10, **fields):
    return lot_in_words(replace(LOT, sampled=(sampled,), **fields), on_offer=on_offer)


def test_without_the_grade_there_is_no_lot():
    assert ("Nothing is graded for resale.",) == told(UNTESTED, offered=0)


def test_untested_of_capacity_nothing_is_known():
    first, last = told(UNTESTED)
    assert first.startswith("Lead-acid starter: nothing is known of the capacity of these 10.")
    assert first.endswith(
        "Capacity tests of 8, drawn by lot, without a failure would show that at most 10 % are "
        "unfit: A, B, C, D, E, F, G, H."
    )
    assert (
        "Of the 10 graded for resale about 1 to 5 are likely unfit, that is worn or faulty "
        "(an estimate from simulated batteries). All may be offered now." == last
    )
    single = told(Sampled(LotKind.LFP, 3, 0, 0, None, 1, ("A",)))[0]
    assert "One capacity test without a failure" in single


def test_a_single_battery_is_told_in_the_singular():
    alone = told(
        Sampled(LotKind.LFP, 1, 0, 0, None, 1, ("A",)), offered=1, on_offer=0, unfit_low=0, unfit_high=1
    )
    assert (
        "LFP: nothing is known of the capacity of this one. A capacity test shows it: A.",
        (
            "The one graded for resale may be unfit, that is worn or faulty "
            "(an estimate from simulated batteries). It may not be sold yet."
        ),
    ) == alone
    for failed, word in ((0, "passed"), (1, "failed")):
        tested = told(Sampled(LotKind.LFP, 1, 1, failed, failed, 1, ("A",)))[0]
        assert f"LFP: the one was tested for capacity; it {word}." == tested


def test_a_draw_that_is_enough_says_what_it_shows():
    text = told(Sampled(LotKind.LFP, 50, 19, 0, 5, 19, ()))[0]
    assert text == (
        "LFP: the first 19 of 50 in the draw order were tested for capacity; none failed; of the 31 not "
        "tested at most 5 are unfit (95 % sure, if the draw chose which to test)."
    )


@pytest.mark.parametrize(
    ("offered", "drawn", "failed", "at_most", "words"),
    [
        (
            6,
            1,
            1,
            6,
            (
                "1 of 6 is first in the draw order and was tested for capacity; it "
                "failed; nothing is known of the 5 not tested."
            ),
        ),
        (
            6,
            1,
            0,
            5,
            (
                "1 of 6 is first in the draw order and was tested for capacity; it "
                "passed; nothing is known of the 5 not tested."
            ),
        ),
        (
            6,
            5,
            0,
            1,
            (
                "the first 5 of 6 in the draw order were tested for capacity; none "
                "failed; nothing is known of the one not tested."
            ),
        ),
        (6, 4, 0, 1, "of the 2 not tested at most 1 is unfit (95 % sure, if the draw chose which to test)."),
    ],
)
def test_no_more_is_said_than_the_tests_show(offered, drawn, failed, at_most, words):
    assert words in told(Sampled(LotKind.LFP, offered, drawn, failed, at_most, 6, tuple("ABCDEF")))[0]


def test_a_draw_that_is_not_enough_names_who_is_next():
    text = told(Sampled(LotKind.LFP, 10, 2, 0, 7, 8, tuple("ABCDEFGH")))[0]
    assert text.endswith("To be sure of 10 %, test these too: C, D, E, F, G, H.")


def test_after_a_failure_all_are_tested_or_sold_as_untested():
    text = told(Sampled(LotKind.LFP, 10, 2, 1, 8, 8, tuple("ABCDEFGH")))[0]
    assert "of the 8 not tested at most 7 are unfit" in text
    assert text.endswith("Test them all, or sell them as untested.")


def test_where_all_were_tested_nothing_is_left_open():
    assert (
        told(Sampled(LotKind.LFP, 3, 3, 2, 2, 3, ("A",)))[0]
        == "LFP: all 3 were tested for capacity; 2 failed."
    )


def test_a_sites_own_share_is_named_as_such():
    assert "(an estimate from this site's own share of unfit ones)" in told(UNTESTED, own_share=True)[-1]


def test_a_lot_too_small_to_draw_from_is_tested_whole():
    first = told(Sampled(LotKind.STARTER, 3, 0, 0, None, 3, tuple("ABC")), offered=3)[0]

    assert "drawn by lot" not in first
    assert "10 %" not in first
    assert first.endswith(
        "Capacity tests of all of them without a failure would show that none is unfit: A, B, C."
    )


@pytest.mark.parametrize(
    ("graded", "on_offer", "words"),
    [
        (1, 1, "It may be offered now."),
        (1, 0, "It may not be sold yet."),
        (10, 0, "None may be sold yet."),
        (10, 9, "9 may be offered now; 1 may not be sold yet."),
        (10, 10, "All may be offered now."),
    ],
)
def test_what_may_not_be_sold_yet_is_not_counted_as_offered(graded, on_offer, words):
    last = told(UNTESTED, on_offer=on_offer, offered=graded)[-1]

    assert last.endswith(words)
    assert f"{graded} on offer" not in last
