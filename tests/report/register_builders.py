"""Invented registers for the tests of this room, without a file behind them."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from intake.compliance.storage_reminders import storage_reminders
from intake.model.account import Departure, SentLoad, StockItem
from intake.model.battery import Chemistry
from intake.model.finding import LeftOut
from intake.model.load import LoadKind
from intake.model.register import Copy, GradedBatch, Period, Register
from intake.model.verdict import Evidence, Grade, Handling
from intake.policy.handling_texts import load_wording
from intake.policy.rule_data import load_rules
from intake.register.account import account_of
from intake.register.meters import meter_uses
from intake.register.repeated_tags import repeated_tags
from intake.register.storage import storage_of
from tests.changed import replace
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


def quarter_of_ten(*, sold: bool = False) -> Register:
    """Return a quarter of ten batches of 48 in five jurisdictions, with two loads and one receipt.

    ``sold``: with batteries that were there before, sold, and sent back.
    """
    days = [date(2026, 9, 1) + timedelta(days=8 * number) for number in range(10)]
    if sold:
        days[0] = date(2026, 8, 1)
    batches = [
        graded(
            f"Q-{number:02d}",
            days[number].isoformat(),
            jurisdiction=("US", "EU", "UK", "other", "CA")[number % 5],
            received_from=f"Supplier {number % 7}",
            meter=f"Bench {number % 3}",
            calibration_due=date(2026, 10, 1) if number % 3 else date(2027, 5, 1),
            stock=tuple(_stock(f"Q-{number:02d}", days[number], tag) for tag in range(48)),
            groups=(
                group("resale-after-charge", "flooded", count=14, mass_g=210_000),
                group("reconditionable", "AGM", count=10, mass_g=150_000, mass_estimated_g=15_000),
                group("reconditionable", "EFB", count=4, mass_g=60_000),
                group("recycle", "flooded sealed", count=8, mass_g=120_000),
                group("recycle", "gel", stream="lead-acid-damaged", count=3, mass_g=45_000),
                group("unresolved", "LFP", count=5, mass_g=75_000),
                group("unresolved", "unknown", count=4, mass_g=60_000),
            ),
        )
        for number in range(10)
    ]
    stock = [item for one in batches for item in one.stock]
    loads = [
        _load("L-1", date(2026, 10, 20), stock[:10], received_count=8, received_g=120_000),
        _load("L-2", date(2026, 11, 20), stock[48:53]),
    ]
    if sold:
        loads += [
            _load("S-1", date(2026, 11, 21), stock[60:62], kind=LoadKind.SALE),
            _load("R-1", date(2026, 11, 22), stock[70:71], kind=LoadKind.RETURN),
        ]
    account = account_of(stock, loads, QUARTER)
    return register_of(batches, account=account, loads=())


def _stock(batch: str, received: date, tag: int) -> StockItem:
    return StockItem(
        batch=batch,
        tag=f"{batch}-{tag:03d}",
        received=received,
        chemistry=(Chemistry.FLOODED, Chemistry.AGM, Chemistry.LFP, Chemistry.UNKNOWN)[tag % 4],
        grade=Grade.RECYCLE,
        handling=Handling.INTACT,
        stream=("lead-acid-wet", "lead-acid-damaged", None)[tag % 3],
        mass_g=15_000,
    )


def _load(
    name: str, day: date, items: Sequence[StockItem], *, kind: LoadKind = LoadKind.RECYCLING, **receipt: int
) -> SentLoad:
    return SentLoad(
        load=name,
        kind=kind,
        day=day,
        consignee="Recycler A",
        departures=tuple(
            Departure(
                name, kind, day, "Recycler A", one.batch, one.tag, one.chemistry, one.stream, one.mass_g
            )
            for one in items
        ),
        received_on=day + timedelta(days=1) if receipt else None,
        received_g=receipt.get("received_g"),
        received_count=receipt.get("received_count"),
        differences=None,
    )
