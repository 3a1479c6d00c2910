"""Invented batches, graded with the shipped policy, for the tests of this room."""

from collections.abc import Mapping, Sequence
from datetime import date
from functools import cache
from typing import Any

from intake.bench.charge_gates import gated
from intake.compliance.assess import assess_compliance
from intake.grading.batch_figures import batch_figures
from intake.grading.grade_battery import grade_battery
from intake.grading.lot import lot_of
from intake.grading.mass_estimate import mass_kg
from intake.grading.storage import with_shelf_lives
from intake.model.battery import (
    Batch,
    Battery,
    Chemistry,
    DatePrecision,
    HoldReading,
    MadeDate,
    Price,
)
from intake.model.finding import Finding, Severity
from intake.model.result import BatchResult, GradedBattery
from intake.policy.grading_policy import load_grading_policy
from intake.policy.rule_data import load_jurisdiction
from intake.policy.second_look import looked_over
from intake.worth.value import value_batch
from tests.changed import replace

POLICY = load_grading_policy()
LONG_TAG = "PALLET-7.ROW_12.POSITION_03.A-01"
LONG_NOTE = (
    "The lid carries an old repair: two lines of sealant along the seam, hard and dry. "
    "The rope handle is missing on one side, so it was lifted from below by two people. "
) * 12
GREEK = "Μπαταρία αποθήκης, κιβώτιο Ω-4"
CYRILLIC = "Аккумулятор со склада, ящик № 7"
UNPRINTABLE = "Label reads 電池 and then nothing more"
MARKUP = "<b>Bold</b> & <img src='x.png'/> =1+1"
LIMITS = {
    Chemistry.FLOODED: (("rest", 12.40), ("hold 80 %", 12.466), ("hold 60 %", 12.300)),
    Chemistry.FLOODED_SEALED: (("rest", 12.40), ("hold 80 %", 12.534), ("hold 60 %", 12.348)),
    Chemistry.EFB: (("rest", 12.40), ("hold 80 %", 12.534), ("hold 60 %", 12.348)),
    Chemistry.AGM: (("rest", 12.40), ("hold 80 %", 12.66), ("hold 60 %", 12.45)),
    Chemistry.GEL: (("rest", 12.40), ("hold 80 %", 12.65), ("hold 60 %", 12.468)),
    Chemistry.LFP: (("rest", 13.00), ("hold 80 %", 13.33), ("hold 60 %", 13.19)),
}


def made(year: int, month: int | None = None) -> MadeDate:
    """Return a date of manufacture known to the month, or to the year."""
    if month is None:
        return MadeDate(date(year, 1, 1), date(year, 12, 31), DatePrecision.YEAR)
    return MadeDate(date(year, month, 1), date(year, month, 28), DatePrecision.MONTH)


def battery(number: int, chemistry: str = "flooded", **fields: Any) -> Battery:
    """Return a sound battery that rested for a day at 20 degC; ``number`` gives its tag and row."""
    usual: dict[str, Any] = {
        "tag": f"B-{number:03d}",
        "row": number + 4,
        "chemistry": Chemistry(chemistry),
        "case": "sound",
        "terminals": "sound",
        "rated_capacity_ah": 60.0,
        "rested_h": 24.0,
        "temperature_c": 20.0,
        "position": f"{'ABCD'[number % 4]}{1 + number % 6}",
    }
    return Battery(**(usual | fields))


def held(number: int, chemistry: str, *readings: tuple[float, float], **fields: Any) -> Battery:
    """Return a battery with hold readings of so many hours and volts."""
    holds = tuple(HoldReading(hours, volts, 21.0) for hours, volts in readings)
    return battery(number, chemistry, hold_readings=holds, **fields)


def mixed_batteries() -> tuple[Battery, ...]:
    """Return 48 batteries: every chemistry, every grade, and entries that strain a layout."""
    strained = (
        battery(1, "flooded", rest_voltage_v=12.71, mass_kg=15.2, made=made(2023, 4), note=LONG_NOTE),
        battery(2, "AGM", tag=LONG_TAG, rest_voltage_v=12.82, marking=GREEK, rated_capacity_ah=80.0),
        battery(3, "flooded", rest_voltage_v=12.33, marking=CYRILLIC, note=UNPRINTABLE, made=made(2021)),
        battery(4, "other", rest_voltage_v=7.9, marking=MARKUP, rated_capacity_ah=None),
        battery(5, "unknown", rest_voltage_v=None, rested_h=None, temperature_c=None, note="N" * 300),
        replace(
            battery(6, "gel", rest_voltage_v=12.7),
            row_errors=('Rated capacity (Ah) reads "sixty"; a number over 0 to 300 was expected.',),
        ),
        battery(7, "flooded", case="cracked", rest_voltage_v=0.31, mass_kg=14.9),
        battery(8, "LFP", case="swollen", rest_voltage_v=None, rated_capacity_ah=100.0),
        battery(9, "LFP", rest_voltage_v=2.1, bms_reset_tried=True, rated_capacity_ah=50.0),
        battery(10, "LFP", rest_voltage_v=0.4, rated_capacity_ah=12.0),
        battery(11, "LFP", rest_voltage_v=8.1, cell_voltages_v=(2.0, 2.03, 2.05, 2.02)),
        held(12, "LFP", (1.0, 13.42), (24.0, 13.36), rated_capacity_ah=100.0, mass_kg=11.4),
        held(13, "AGM", (0.5, 13.318), (1.0, 13.283), rest_voltage_v=12.2, mass_kg=17.0),
        held(14, "AGM", (0.5, 13.1), (12.0, 12.9), (24.0, 12.86), (72.0, 12.78), mass_kg=20.4),
        held(15, "flooded", (0.5, 12.60), (12.0, 12.02), mass_kg=14.1),
        held(16, "gel", (2.0, 12.82), (14.0, 12.60), rated_capacity_ah=33.0),
        held(17, "flooded", (0.5, 12.30), rest_voltage_v=11.9, mass_kg=15.0),
        held(18, "EFB", (0.25, 13.0), rated_cca_a=640.0),
        battery(
            19,
            "flooded",
            rest_voltage_v=12.6,
            specific_gravity=(1.265, 1.26, 1.21, 1.262, 1.265, 1.26),
            mass_kg=15.6,
        ),
        battery(
            20,
            "EFB",
            rest_voltage_v=12.74,
            rated_cca_a=700.0,
            cca_standard="EN",
            measured_cca_a=310.0,
            load_current_a=300.0,
            load_time_s=15.0,
            load_voltage_v=9.9,
        ),
        battery(21, "flooded sealed", rest_voltage_v=12.5, terminals="loose", under_recall=False),
        battery(22, "flooded sealed", rest_voltage_v=10.5, terminals="corroded"),
        battery(23, "AGM", rest_voltage_v=12.85, non_spillable_mark=True, internal_resistance_mohm=9.0),
        battery(24, "AGM", rest_voltage_v=12.5, terminals="broken", non_spillable_mark=True, mass_kg=21.0),
    )
    kinds = ("flooded", "flooded sealed", "EFB", "AGM", "gel", "LFP")
    voltages = (12.75, 12.41, 12.05, 12.88, 12.62, 13.33, 12.58, 11.2, 12.69, 12.7, 12.3, 13.05)
    plain = tuple(
        battery(
            number,
            kinds[number % 6],
            rest_voltage_v=voltages[number % 12] + 0.003 * number - 0.1,
            mass_kg=None if number % 3 else 14.0 + number / 10,
            made=made(2018 + number % 7, 1 + number % 12),
            rated_capacity_ah=float(40 + 5 * (number % 9)),
        )
        for number in range(25, 49)
    )
    return strained + plain


def many_batteries(count: int) -> tuple[Battery, ...]:
    """Return ``count`` batteries: the mixed pallet over and over, each with its own tag and row."""
    pattern = mixed_batteries()
    return tuple(
        replace(pattern[number % len(pattern)], tag=f"T-{number + 1:05d}", row=number + 5)
        for number in range(count)
    )


def batch_of(batteries: Sequence[Battery], **fields: Any) -> Batch:
    """Return an invented batch, everything on its Batch sheet filled in."""
    usual: dict[str, Any] = {
        "batch": "2026-W47-P03",
        "site": "North quay intake hall",
        "received": date(2026, 11, 20),
        "inspector": "Bench 2",
        "jurisdiction": "EU",
        "received_from": "Counter returns, three shops",
        "consignee": "Melting works, gate B",
        "ship_date": date(2026, 12, 15),
        "meter": "Hand-held, bench 2, no. 14",
        "meter_accuracy_percent": 0.1,
        "meter_accuracy_volts": 0.01,
        "calibration_due": date(2027, 3, 1),
        "currency": "EUR",
        "note": "Pallet wrapped at arrival, top layer wet from rain.",
        "prices": (Price(Chemistry.AGM, "45.00", "0.55", "12", "3.50", None),),
    }
    return Batch(**(usual | fields | {"batteries": tuple(batteries)}))


def result_of(
    batteries: Sequence[Battery], *, findings: Sequence[Finding] = (), batch: Mapping[str, Any] | None = None
) -> BatchResult:
    """Grade the batteries with the shipped policy and gather a result."""
    one_batch = batch_of(batteries, **(batch or {}))
    percent = 0.5 if one_batch.meter_accuracy_percent is None else one_batch.meter_accuracy_percent
    volts = 0.02 if one_batch.meter_accuracy_volts is None else one_batch.meter_accuracy_volts
    meter = {"accuracy_percent": percent, "accuracy_volts": volts, "policy": POLICY}
    verdicts = tuple(grade_battery(one, **meter) for one in batteries)
    masses = tuple(mass_kg(one, policy=POLICY) for one in batteries)
    compliance = assess_compliance(one_batch, verdicts, masses, load_jurisdiction(one_batch.jurisdiction))
    graded = looked_over(
        [
            GradedBattery(one, verdict, compliance.stream_by_tag.get(one.tag), mass, estimated)
            for one, verdict, (mass, estimated) in zip(batteries, verdicts, masses, strict=True)
        ]
    )
    graded = with_shelf_lives(gated(graded, policy=POLICY), one_batch, policy=POLICY)
    return BatchResult(
        version="9.9.9",
        source_name="pallet-3.xlsx",
        source_sha256="0123456789abcdef" * 4,
        policy_name=POLICY.name,
        policy_sha256="fedcba9876543210" * 4,
        batch=one_batch,
        findings=tuple(findings),
        graded=graded,
        figures=batch_figures(one_batch.batteries, verdicts, **meter),
        compliance=compliance,
        lot=lot_of(
            one_batch.batch,
            [(one.battery, one.verdict) for one in graded if not one.look_again],
            policy=POLICY,
        ),
        value=value_batch(graded, one_batch, policy=POLICY),
    )


def mixed_findings() -> tuple[Finding, ...]:
    """Return one finding of each severity and one that belongs to the whole workbook."""
    return (
        Finding(
            Severity.NOTE,
            "The sheet Remarks is not one that is read.",
            "Nothing to do if it is yours.",
        ),
        Finding(
            Severity.ERROR,
            'Rated capacity (Ah) reads "sixty"; a number over 0 to 300 was expected.',
            "Write the figure, like 60.",
            sheet="Batteries",
            cell="C10",
            tag="B-006",
            field="Rated capacity (Ah)",
        ),
        Finding(
            Severity.WARNING,
            "Made is 2018-02, more than 5 years before Received.",
            "Look at the date code again.",
            sheet="Batteries",
            cell="G30",
            tag="B-025",
            field="Made",
        ),
    )


@cache
def mixed_result() -> BatchResult:
    """Return the mixed pallet of 48."""
    return result_of(mixed_batteries(), findings=mixed_findings())
