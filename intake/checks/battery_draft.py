"""A battery while its row and its hold readings are being checked."""

from dataclasses import dataclass, field
from typing import Any

from intake.checks.finding_log import FindingLog, Spot
from intake.checks.list_rows import RowPlace
from intake.model.battery import Battery, Chemistry, HoldReading, Recovery, Use
from intake.model.finding import Severity

GROUP_SIZES = {"specific_gravity": 6, "cell_voltages_v": 4}
"""How many columns share a key: the cells of a lead-acid and of a 12.8 V LFP block (common practice)."""
TIMES_FOR = {
    "rested_h": ("rest_began", "rest_read_at"),
    "hold_start_after_h": ("charge_ended", "hold_start_read_at"),
    "hold_end_after_h": ("charge_ended", "hold_end_read_at"),
}
"""Hours, and the two times that may stand in for them."""
_PLAIN_FIELDS = frozenset(Battery._fields) - {
    "tag", "row", "chemistry", "use", "recovery",
    "specific_gravity", "cell_voltages_v", "hold_readings", "row_errors"
}  # fmt: skip


@dataclass(slots=True)
class BatteryDraft:
    """What one row of ``Batteries`` has given so far."""

    row: RowPlace
    tag: str
    tag_was_read: bool = False
    chemistry: Chemistry = Chemistry.UNKNOWN
    chemistry_was_read: bool = False
    values: dict[str, Any] = field(default_factory=dict)
    """What could be read, by slot."""
    hold: list[HoldReading] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)

    def fail(self, message: str, hint: str, spot: Spot, log: FindingLog) -> None:
        """Add a row error: a finding, and its words beside the battery."""
        log.add(Severity.ERROR, message, hint, spot)
        self.errors.append(f"{spot.field}, {log.sheet}!{spot.cell}: {message}")

    def given(self, slot: str) -> bool:
        """Return whether the row holds something under a slot, or under both times that stand in for it."""
        times = TIMES_FOR.get(slot, ())
        return slot in self.row.filled or (bool(times) and all(one in self.row.filled for one in times))

    def spot(self, slot: str) -> Spot:
        """Return the cell of a slot that is given; of hours left blank, the time of the reading."""
        stands = slot if slot in self.row.columns else TIMES_FOR[slot][1]
        return self.row.spot(stands, self.tag)

    @property
    def gravities(self) -> tuple[float, ...]:
        """The six specific gravities, or none."""
        return self._group("specific_gravity")

    @property
    def cells_v(self) -> tuple[float, ...]:
        """The four cell voltages in V, or none."""
        return self._group("cell_voltages_v")

    def _group(self, key: str) -> tuple[float, ...]:
        slots = [f"{key} {place}" for place in range(1, GROUP_SIZES[key] + 1)]
        return (
            tuple(self.values[slot] for slot in slots) if all(slot in self.values for slot in slots) else ()
        )

    def finished(self) -> Battery:
        """Return the battery."""
        plain = {key: value for key, value in self.values.items() if key in _PLAIN_FIELDS}
        return Battery(
            tag=self.tag,
            row=self.row.number,
            chemistry=self.chemistry,
            specific_gravity=self.gravities,
            cell_voltages_v=self.cells_v,
            hold_readings=tuple(sorted(self.hold, key=lambda one: one.after_charge_h)),
            row_errors=tuple(self.errors),
            use=Use(self.values.get("use", Use.USED)),
            recovery=Recovery(self.values.get("recovery", Recovery.NOT_TRIED)),
            **plain,
        )
