from intake.model.units import HOURS_PER_DAY, PERCENT


def test_units_that_hold_by_definition():
    """The day of 24 h: SI brochure, 9th edition (2019), table 8, from memory."""
    assert (100.0, 24.0) == (PERCENT, HOURS_PER_DAY)
