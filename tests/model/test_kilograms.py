"""Kilograms are rounded the same way on every paper: from the decimals as written, a half upwards."""

import pytest

from intake.model.kilograms import grams, grams_in_words, kg_in_words, sum_kg
from intake.report.disposal.words import kilograms
from intake.report.json.encode import plain
from intake.report.register.words import kilograms as register_kilograms
from intake.report.words.totals import total_of
from tests.report.builders import battery, result_of


@pytest.mark.parametrize(
    ("mass_kg", "told"),
    [(63.949, "63.9"), (63.95, "64.0"), (111.45, "111.5"), (0.05, "0.1"), (0.049, "0.0"), (0.25, "0.3")],
)
def test_a_half_goes_upwards_whatever_its_binary_form(mass_kg, told):
    assert told == kg_in_words(mass_kg)


@pytest.mark.parametrize(("mass_kg", "mass_g"), [(0.0005, 1), (0.00049, 0), (1.0005, 1001), (1.0015, 1002)])
def test_half_a_gram_counts_as_one(mass_kg, mass_g):
    assert mass_g == grams(mass_kg)


def test_other_decimals():
    assert ("13", "12", "12.500") == (
        grams_in_words(12500, decimals=0),
        grams_in_words(12499, decimals=0),
        grams_in_words(12500, decimals=3),
    )


def test_a_sum_is_of_the_masses_and_not_of_their_rounded_words():
    assert 30.3 == sum_kg([10.1, 10.1, 10.1])
    assert "0.3" == kg_in_words(sum_kg([0.149, 0.149]))


def test_a_product_that_binary_form_leaves_below_the_half_is_rounded_as_its_gram_says():
    assert 18.849999999999998 == 0.29 * 65
    assert "18.9" == kg_in_words(0.29 * 65)
    assert 18.85 == plain(0.29 * 65, "mass_kg")


def test_papers_and_register_round_alike():
    graded = result_of([battery(1, mass_kg=40.15), battery(2, mass_kg=23.8)]).graded
    total = total_of(graded)
    assert 63.95 == total.mass_kg
    assert ("64.0", "64.0") == (kilograms(total), register_kilograms(grams(total.mass_kg), 63950))
