"""The temperature coefficient of a lead-acid block's voltage, against a published table over temperature."""

import numpy

from intake.grading.quantities import ReducedVoltage, reduce_to_reference
from intake.model.battery import Chemistry
from intake.policy.grading_policy import load_grading_policy
from tests.external.agreement import check
from tests.external.published import columns_of

POLICY = load_grading_policy()
BLOCKS = {
    "flooded_100": Chemistry.FLOODED,
    "flooded_50": Chemistry.FLOODED,
    "gel_100": Chemistry.GEL,
    "gel_50": Chemistry.GEL,
}
SOURCE = "a published table of flooded and gel blocks at full and half charge, -18 to 49 °C"


def cases():
    """Yield block, temperature, the table's voltage at 25 °C, and what the engine makes of the others."""
    for column, chemistry in BLOCKS.items():
        rows = sorted(columns_of("open_circuit_by_temperature.csv", "temperature_c", column))
        at_25_v = float(numpy.interp(25.0, *zip(*rows, strict=True)))
        for temperature_c, volts in rows:
            reduced = reduce_to_reference(
                voltage_v=volts, temperature_c=temperature_c, chemistry=chemistry, policy=POLICY
            )
            yield column, temperature_c, at_25_v, reduced


@check(
    "lead-acid voltage reduced to 25 °C by 1.5 mV/K, 10 to 35 °C",
    against=SOURCE,
    within=4,
    unit="mV",
)
def test_inside_the_band_the_coefficient_reduces_the_table_to_itself():
    for column, temperature_c, at_25_v, reduced in cases():
        if 10 <= temperature_c <= 35:
            yield f"{column}, {temperature_c} °C", 1000 * at_25_v, 1000 * reduced.voltage_25c_v


@check(
    "the same outside that band, down to -18 and up to 49 °C: low in the cold and in the heat",
    against=SOURCE,
    within=70,
    unit="mV",
)
def test_outside_the_band_the_coefficient_is_too_small_in_the_cold_and_too_large_in_the_heat():
    for column, temperature_c, at_25_v, reduced in cases():
        if not 10 <= temperature_c <= 35:
            yield f"{column}, {temperature_c} °C", 1000 * at_25_v, 1000 * reduced.voltage_25c_v


def test_what_it_errs_by_there_is_two_or_three_of_the_policys_uncertainties_and_on_the_cautious_side():
    """1 mV/K outside the band: 28 mV at -18 °C, for an error of 68. Such a block reads too low, not high."""
    outside = [
        (at_25_v - reduced.voltage_25c_v, reduced.temperature_uncertainty_v)
        for _, temperature_c, at_25_v, reduced in cases()
        if not 10 <= temperature_c <= 35
    ]
    assert len(outside) > 20
    assert all(0 < low_by_v < 3.5 * uncertainty_v for low_by_v, uncertainty_v in outside)


def test_without_a_temperature_the_uncertainty_covers_ten_kelvin():
    found = reduce_to_reference(
        voltage_v=12.6, temperature_c=None, chemistry=Chemistry.FLOODED, policy=POLICY
    )
    assert found == ReducedVoltage(12.6, 10 * POLICY.temperature.coefficient_v_per_k[Chemistry.FLOODED].value)
