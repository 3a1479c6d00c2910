"""Until when a battery is best sold or charged again, as paper says it."""

from datetime import date

import pytest

from intake.model.battery import Chemistry, Price
from intake.report.resale.write import write_resale
from intake.report.words.shelf_life import (
    recharge_in_few_words,
    recharge_in_full,
    shelf_lives_explained,
)
from intake.report.words.sources import Sources
from tests.changed import replace
from tests.report.builders import LIMITS, battery, held, result_of
from tests.report.read_pdf import flat, texts

AGM = held(1, "AGM", (24.0, 12.95))
LFP = held(2, "LFP", (24.0, 13.40))
SEALED = held(3, "flooded sealed", (24.0, 12.85))
FALLING = held(4, "AGM", (24.0, 12.86), (36.0, 12.815), (48.0, 12.777))


EMPTIED = "No date, as its capacity test emptied it."
LONGEST = "the longest storage"
LOSS = "2.8 % a month at 20 °C down to 80 %"


def graded(one):
    return result_of([one]).graded[0]


def with_life(**changes):
    one = graded(AGM)
    return replace(one, shelf_life=replace(one.shelf_life, **changes))


@pytest.mark.parametrize(
    ("changes", "few", "full"),
    [
        (
            {"day": date(2027, 3, 9), "days": 109},
            "recharge by 2027-03-09",
            f"Best sold or recharged by 2027-03-09 (100 % on 2026-11-20; {LOSS}).",
        ),
        (
            {"days": 179, "day": date(2027, 5, 18)},
            "recharge by 2027-05-18",
            f"Best sold or recharged by 2027-05-18 (100 % on 2026-11-20; {LOSS}).",
        ),
        (
            {"days": 180, "day": date(2027, 5, 19)},
            "recharge by 2027-05-19",
            "Best sold or recharged by 2027-05-19 (100 % on 2026-11-20; 180 days, the longest storage).",
        ),
        (
            {"days": 0, "charge_percent": 79.6},
            "recharge now",
            "Best sold or recharged now (80 % on 2026-11-20; 2.8 % a month at 20 °C down to 80 %).",
        ),
        (
            {"day": None, "read_on": None, "days": 180},
            "no date, as its capacity test emptied it: recharge 180 days after its next full charge",
            f"Best sold or recharged within 180 days of its next full charge ({LONGEST}). {EMPTIED}",
        ),
        (
            {"day": None, "read_on": None, "days": 150},
            "no date, as its capacity test emptied it: recharge 150 days after its next full charge",
            f"Best sold or recharged within 150 days of its next full charge ({LOSS}). {EMPTIED}",
        ),
    ],
)
def test_the_day_is_told_short_and_with_what_it_rests_on(changes, few, full):
    one = with_life(**changes)

    assert few == recharge_in_few_words(one)
    assert full == recharge_in_full(one.shelf_life)


def test_a_loss_of_its_own_is_told_as_such():
    life = with_life(days=40, measured=True, percent_per_month=6.1).shelf_life

    assert "; 6.1 % a month of its own at 20 °C down to 80 %)" in recharge_in_full(life)


def test_a_fall_that_may_be_a_leak_is_told_instead_of_a_day():
    assert "falls fast: read again after a week" == recharge_in_few_words(graded(FALLING))


def test_without_a_day_nothing_is_told():
    resting = graded(battery(1, rest_voltage_v=12.8))

    assert ("", "") == (recharge_in_few_words(resting), recharge_in_full(resting.shelf_life))
    assert "" == shelf_lives_explained([resting], Sources())


def test_what_all_days_rest_on_is_told_once_with_marks_losses_and_sources():
    sources = Sources()
    told = shelf_lives_explained(result_of([LFP, AGM, SEALED]).graded, sources)

    assert "down to 80 % or 50 %, on a shelf at 20 °C, and never more than 180 days." in told
    assert "flooded sealed 2.8 % [1*], AGM 2.8 % [2], LFP 2.1 % [3]." in told
    assert 3 == len(sources.listed())


def test_a_loss_of_its_own_is_no_figure_of_the_kind():
    told = shelf_lives_explained([with_life(measured=True)], Sources())

    assert "never more than 180 days" in told
    assert "by kind" not in told


def test_list_and_condition_sheet_carry_the_day(tmp_path):
    result = result_of([AGM], batch={"prices": (Price(Chemistry.AGM, "45"),)})
    write_resale(result, tmp_path / "r.pdf", plot_limits=LIMITS)
    pages = [flat(page) for page in texts(tmp_path / "r.pdf")]

    assert "recharge by 2027-05-19" in pages[0]
    assert "Recharge by: best sold or recharged by that day." in pages[0]
    assert "Best sold or recharged by 2027-05-19 (100 % on " in "".join(pages[1:])
