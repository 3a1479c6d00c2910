from decimal import Decimal

import pytest

from intake.checks.cells.written_units import WrittenUnit, find_unit
from intake.policy.dictionary import load_dictionary


@pytest.mark.parametrize(
    ("text", "own", "name"),
    [
        ("V", "V", "V"),
        ("v", "V", "V"),
        ("Volts", "V", "volts"),
        ("mV", "V", "mV"),
        ("mv", "V", "mV"),
        ("AH", "Ah", "Ah"),
        ("KA", "A", "kA"),
        ("Min", "h", "min"),
        ("MIN", "h", "min"),
        ("hrs.", "h", "hrs"),
        ("° f", "°C", "°F"),
        ("℉", "°C", "°F"),
        ("k", "°C", "K"),
        ("mΩ", "mΩ", "mΩ"),
        ("m\u2126", "mΩ", "mΩ"),
        ("\u00b5Ω", "mΩ", "µΩ"),
        ("\u03bcΩ", "mΩ", "µΩ"),
        ("Milliohm", "mΩ", "milliohm"),
        ("Ohms", "mΩ", "ohms"),
        ("g / cm³", "SG", "g/cm3"),
        ("LB", "kg", "lb"),
    ],
)
def test_a_unit_is_known_by_its_spellings(text, own, name):
    found = find_unit(text, own)
    assert found is not None
    assert name.replace("³", "3") == found.name.replace("³", "3")


@pytest.mark.parametrize(
    ("text", "own"),
    [
        ("MV", "V"),
        ("Mv", "V"),
        ("MA", "A"),
        ("MAh", "Ah"),
        ("MΩ", "mΩ"),
        ("Mohm", "mΩ"),
        ("\u039cΩ", "mΩ"),
        ("MS", "s"),
        ("A", "V"),
        ("V", None),
        ("", "V"),
        ("bananas", "V"),
        ("V", "no such unit"),
    ],
)
def test_a_capital_prefix_and_foreign_units_are_not_known(text, own):
    """M is mega: a million times what is meant."""
    assert find_unit(text, own) is None


@pytest.mark.parametrize(
    ("text", "own", "amount", "expected"),
    [
        ("mV", "V", "12430", 12.43),
        ("°F", "°C", "77", 25.0),
        ("K", "°C", "298.15", 25.0),
        ("min", "h", "30", 0.5),
        ("d", "h", "2", 48.0),
        ("lb", "kg", "11", 4.98951607),
        ("Ω", "mΩ", "0.005", 5.0),
        ("µΩ", "mΩ", "5000", 5.0),
    ],
)
def test_amounts_convert_to_the_column_s_unit(text, own, amount, expected):
    """1 lb is 0.45359237 kg by definition."""
    found = find_unit(text, own)
    assert found is not None
    assert pytest.approx(expected, rel=1e-15) == float(found.to_own(Decimal(amount)))


def test_only_another_unit_converts():
    assert not WrittenUnit("volt", 1).converts
    assert WrittenUnit("mV", 0.001).converts
    assert WrittenUnit("°F", "fahrenheit").converts


def test_no_two_units_of_a_kind_share_a_spelling_with_different_factors():
    for own, units in load_dictionary().units.items():
        for name, conversion in units.items():
            found = find_unit(name, own)
            assert found is not None
            assert conversion == found.conversion
