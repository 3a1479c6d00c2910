"""One battery of ``results.json``."""

from collections.abc import Sequence

from intake.model.battery import Battery
from intake.model.result import GradedBattery
from intake.model.verdict import HeldCharge, Step
from intake.policy.dictionary import load_dictionary
from intake.report.json.encode import Document, attributes, plain, record_document
from intake.report.words.actions import step_in_full


def battery_document(one: GradedBattery, warnings: Sequence[str]) -> Document:
    """Return one entry of ``batteries``: the verdict, then every column of the sheet.

    The readings among the columns stand together; the hold columns are one list with ``Hold readings``.
    """
    battery, verdict = one.battery, one.verdict
    document = {
        **attributes(battery, ("tag", "row", "chemistry")),
        **attributes(verdict, ("grade", "evidence", "handling")),
        **attributes(one, ("stream", "mass_kg", "mass_estimated")),
        "state_of_charge": plain(verdict.state_of_charge),
        "held_charge": _held_charge(verdict.held_charge),
        "self_discharge": plain(verdict.self_discharge),
        "reasons": [_reason(step) for step in verdict.reasons],
        "next_step": step_in_full(one),
        "again_after_h": verdict.again_after_h,
        "shelf_life": plain(one.shelf_life),
        "warnings": list(warnings),
    }
    columns = _columns(battery, readings=False)
    return {
        **document,
        **{key: value for key, value in columns.items() if key not in document},
        "readings": {**_columns(battery, readings=True), "hold_readings": plain(battery.hold_readings)},
    }


def _columns(battery: Battery, *, readings: bool) -> Document:
    columns = load_dictionary().sheets["batteries"].columns
    return attributes(battery, (one.key for one in columns if one.reading is readings and one.joins is None))


def _held_charge(held: HeldCharge | None) -> Document | None:
    if held is None:
        return None
    return {**record_document(held.state_of_charge), **record_document(held, without=("state_of_charge",))}


def _reason(step: Step) -> Document:
    told = record_document(step, without=("fired", "handling", "next_step", "again_after_h"))
    return {key: value for key, value in told.items() if value is not None or key not in _ONLY_OF_A_CHARGE}


_ONLY_OF_A_CHARGE = ("charge_percent", "missed")
"""What a reason has only where its limit stands for a state of charge."""
