import pytest

from intake.grading.mass_estimate import mass_kg
from tests.grading.builders import POLICY, battery


def test_a_weighed_mass_is_not_estimated():
    assert (14.2, False) == mass_kg(battery("flooded", mass_kg=14.2, rated_capacity_ah=60.0), policy=POLICY)


@pytest.mark.parametrize(
    ("chemistry", "expected"),
    [
        ("flooded", 15.0),
        ("flooded sealed", 15.0),
        ("EFB", 16.2),
        ("AGM", 17.4),
        ("gel", 19.2),
        ("LFP", 7.2),
    ],
)
def test_an_unweighed_mass_comes_from_the_rated_capacity(chemistry, expected):
    """60 Ah by the contract's kilograms per ampere-hour."""
    found = mass_kg(battery(chemistry, rated_capacity_ah=60.0), policy=POLICY)
    assert (pytest.approx(expected), True) == found


@pytest.mark.parametrize("one", [battery("AGM"), battery("other", rated_capacity_ah=60.0)])
def test_without_a_capacity_or_a_chemistry_there_is_no_mass(one):
    assert (None, False) == mass_kg(one, policy=POLICY)
