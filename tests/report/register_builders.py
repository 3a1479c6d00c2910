"""Invented registers for the tests of this room, without a file behind them."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from intake.compliance.storage_reminders import storage_reminders
from intake.model.register import Copy, GradedBatch, LeftOut, Period, Register
from intake.model.verdict import Evidence
from intake.policy.handling_texts import load_wording
from intake.policy.rule_data import load_rules
from intake.register.account import account_of
from intake.register.meters import meter_uses
from intake.register.repeated_tags import repeated_tags
from intake.register.storage import storage_of
from tests.register.builders import QUARTER, graded, group

HOSTILE_NAMES = (
    "=1+1",
    ">5*",
    "<>",
    "*",
    "~?",
    "@SUM(A1)",
    "http://example.org",
    "<b>bold</b> & <img src='x.png'/>",
    "\ud800 half a sign",
    "電池",
    "x" * 300,
    "2026-11",
)


def register_of(batches: Sequence[GradedBatch], *, period: Period = QUARTER, **fields: Any) -> Register:
    """Return the register of the batches received in the period."""
    inside = sorted(
        (one for one in batches if period.covers(one.received)), key=lambda one: (one.received, one.batch)
    )
    storage = storage_of(batches, period)
    usual: dict[str, Any] = {
        "version": "9.9.9",
        "period": period,
        "batches": tuple(inside),
        "before": sum(one.received < period.first for one in batches),
        "after": sum(one.received > period.last for one in batches),
        "left_out": (),
        "copies": (),
        "results": tuple((one.file, one.file_sha256) for one in batches),
        "loads": (),
        "inputs_sha256": "0123456789abcdef" * 4,
        "meters": meter_uses(inside, period.closing),
        "repeated_tags": repeated_tags(batches, period),
        "storage": storage,
        "storage_reminders": storage_reminders(storage, batches, period, load_rules()),
        "account": account_of((item for one in batches for item in one.stock), (), period),
        "cautions": load_wording().cautions,
    }
    return Register(**(usual | fields))


def mixed_batches() -> tuple[GradedBatch, ...]:
    """Return batches of three months with every grade, several chemistries, streams and suppliers."""
    hold = {"evidence": Evidence.LONG_HOLD}
    return (
        graded("OLD", "2026-03-01", jurisdiction="US", tags=("B-1",)),
        graded(
            "S-1",
            "2026-09-01",
            received_from="Harbour  garage",
            calibration_due=date(2026, 8, 31),
            tags=("B-1", "B-2"),
            groups=(
                group("resale-after-charge", count=4, mass_g=61_250, mass_estimated_g=15_000),
                group("resale-after-charge", "AGM", count=2, mass_g=40_000, **hold),
                group("recycle", count=3, mass_g=30_000, without_mass=1),
                group("unresolved", "unknown", count=1, mass_g=0, without_mass=1),
            ),
        ),
        graded(
            "S-2",
            "2026-09-30",
            received_from="harbour garage",
            calibration_due=date(2027, 1, 15),
            wrong_acceptances=0.0125,
            groups=(
                group("reconditionable", "gel", count=2, mass_g=38_400, mass_estimated_g=38_400),
                group("recycle", "LFP", stream="lfp-damaged", count=1, mass_g=7_200),
            ),
        ),
        graded("O-1", "2026-10-31", jurisdiction="UK", received_from=None, meter=None, tags=("b-2",)),
        graded(
            "N-1",
            "2026-11-30",
            jurisdiction="US",
            site="Depot north",
            meter="Bench 2",
            wrong_acceptances=None,
            ship_date=date(2026, 12, 10),
            groups=(group("recycle", "AGM", stream="lead-acid-non-spillable", count=5, mass_g=99_999),),
        ),
    )


def mixed_register() -> Register:
    """Return the register of the mixed batches, with files that were not counted."""
    return register_of(
        mixed_batches(),
        left_out=(LeftOut("x/x-results.json", "It is empty."),),
        copies=(Copy("old/S-1-results.json", "S-1/S-1-results.json"),),
    )


def hostile_register() -> Register:
    """Return a register whose suppliers, sites, meters and files carry hostile text."""
    batches = [
        replace(
            graded(f"H-{number:02d}", "2026-10-01", tags=(f"T-{number}",)),
            received_from=text,
            site=text,
            meter=text,
            policy_name=text,
            file=f"{text}-results.json",
            groups=(group(count=number + 1, mass_g=1000 * (number + 1)),),
        )
        for number, text in enumerate(HOSTILE_NAMES)
    ]
    return register_of(batches, left_out=tuple(LeftOut(text, f"It is {text}.") for text in HOSTILE_NAMES))
