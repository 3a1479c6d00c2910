"""What the grading says of one battery, and every step by which it came to say so."""

from enum import StrEnum
from typing import NamedTuple

from intake.model.rules import Rule


class Grade(StrEnum):
    """The four verdicts."""

    RESALE = "resale-after-charge"
    RECONDITIONABLE = "reconditionable"
    RECYCLE = "recycle"
    UNRESOLVED = "unresolved"


class Evidence(StrEnum):
    """What the readings can carry, whatever the verdict."""

    NONE = "none"
    REST_ONLY = "rest-only"
    SHORT_HOLD = "short-hold"
    LONG_HOLD = "long-hold"
    STRENGTH = "strength"
    """A long hold, and a load test or a cranking reading that counts."""
    CAPACITY = "capacity"
    """A long hold, and a capacity test that counts."""


HELD = frozenset({Evidence.SHORT_HOLD, Evidence.LONG_HOLD, Evidence.STRENGTH, Evidence.CAPACITY})
"""Evidence of a hold: it was charged and read afterwards."""
TESTED = frozenset({Evidence.STRENGTH, Evidence.CAPACITY})
"""Evidence of a test under current; the word "tested" is kept for these."""


class Handling(StrEnum):
    """How the battery has to be handled."""

    INTACT = "intact"
    SUSPECT = "suspect"
    DAMAGED = "damaged"


class Effect(StrEnum):
    """What a rule does when it fires. ``cap`` effects bound the grade from above."""

    RECYCLE = "recycle"
    UNRESOLVED = "unresolved"
    CAP_RECONDITIONABLE = "reconditionable"
    CAP_RESALE = "resale-after-charge"
    NOTE = "note"
    """Says something beside the grade, changes nothing."""


class MissedMark(NamedTuple):
    """A mark above the one that a rule weighed, of which the reading is not sure."""

    charge_percent: float
    """The state of charge that it stands for."""
    limit: float
    limit_to_be_sure: float
    probability: float
    """The probability that the mark is reached, 0 to 1."""


class Step(NamedTuple):
    """One rule applied to one battery."""

    rule: Rule
    fired: bool
    effect: Effect
    text: str
    """The reason in words that a person can check with a pocket calculator."""
    handling: Handling = Handling.INTACT
    """What the rule asks for when it fires."""
    measured: float | str | None = None
    limit: float | str | None = None
    unit: str = ""
    limit_to_be_sure: float | None = None
    """The acceptance limit: what it takes to be sure of the limit with this reading, in the same unit."""
    charge_percent: float | None = None
    """The state of charge that the limit stands for, where it stands for one."""
    missed: MissedMark | None = None
    """Where the limit is a mark that was met: the next one, which was not."""
    probability: float | None = None
    """The probability that the rule weighed against the risk limit, 0 to 1."""
    source: str = ""
    status: str = ""
    """How far the rule's numbers were checked."""
    next_step: str = ""
    """What to do when this rule decides."""
    again_after_h: float | None = None
    """Hours after the charge of the hold reading that the next step asks for."""


class MissingTest(StrEnum):
    """The one test that a held battery still wants, in the words of a list."""

    LOAD_OR_CRANKING = "load or cranking test"
    CAPACITY = "capacity test"
    METER_OR_CAPACITY = "better meter or capacity test"
    BETTER_METER = "read it with a better meter"


class StateOfCharge(NamedTuple):
    """State of charge in percent with its 95 % coverage interval."""

    value_percent: float
    low_percent: float
    high_percent: float
    voltage_25c_v: float
    """The voltage it rests on, reduced to 25 degC (a hold: the settled voltage)."""
    standard_uncertainty_v: float
    """Of that voltage against the table, as limits take it."""
    interval_uncertainty_v: float
    """Of that voltage against the true charge: what the interval is made of."""
    interval_only: bool = False
    """The value is no more than the middle of the interval (LFP at rest, history unknown)."""


class HeldCharge(NamedTuple):
    """State of charge that the hold shows, on the settled voltage."""

    state_of_charge: StateOfCharge
    after_h: float
    reading_25c_v: float
    """The reading itself, reduced to 25 degC, before settling is allowed for."""


class ReducedReading(NamedTuple):
    """One hold reading that counts, at 25 degC."""

    after_h: float
    voltage_25c_v: float
    standard_uncertainty_v: float
    """Of the meter, and of a temperature that was not taken."""


class SelfDischarge(NamedTuple):
    """What the block loses once it has settled, from the fit over the hold, with its 95 % coverage interval.

    In percent of full charge per month of 30.4 days; negative where the readings rise.
    """

    percent_per_month: float
    low: float
    high: float
    single_cell_percent_per_month: float
    """The same if one cell alone loses."""
    rate_v_per_day: float
    rate_uncertainty_v_per_day: float
    seen_from_v_per_day: float
    """The smallest loss that this hold could have seen."""
    tells_a_leak: bool
    """The hold has the readings and the days that tell a leak from settling; before, it says little."""

    @property
    def may_be_a_leak(self) -> bool:
        """Whether a hold too short to tell shows a fall beyond what settling explains."""
        return self.low > 0 and not self.tells_a_leak


class Verdict(NamedTuple):
    """The outcome for one battery.

    ``steps`` are all rules in their listing order, fired or not; none where only the outcome is kept.
    """

    grade: Grade
    evidence: Evidence
    handling: Handling
    next_step: str
    steps: tuple[Step, ...]
    reasons: tuple[Step, ...]
    """The steps that fired, the decisive one first."""
    state_of_charge: StateOfCharge | None = None
    held_charge: HeldCharge | None = None
    self_discharge: SelfDischarge | None = None
    again_after_h: float | None = None
    """Hours after the charge of the hold reading that the next step asks for; None where it asks for none."""
    missing_test: MissingTest | None = None
    """The test that a battery wants once its hold has been read; the next step says it in full."""
    warnings: tuple[str, ...] = ()
    """Readings that speak against each other, seen only in grading."""
    reduced_readings: tuple[ReducedReading, ...] = ()
    """The hold readings that count, earliest first."""

    @property
    def decisive(self) -> Step:
        """The reason that decided."""
        return self.reasons[0]

    @property
    def known_charge(self) -> StateOfCharge | None:
        """The latest state of charge that the readings show: the hold's, else that at rest."""
        return self.held_charge.state_of_charge if self.held_charge else self.state_of_charge


class MeterRisk(NamedTuple):
    """Expected wrong decisions in a batch with one meter."""

    accuracy_percent: float
    accuracy_volts: float
    wrong_acceptances: float
    """Expected number of batteries in the resale grade whose true voltage is below its limit."""
    wrong_rejections: float
    """Expected number of batteries held back by a voltage whose true voltage is above its limit."""


class BatchFigures(NamedTuple):
    """What the meter in use is worth, and what a better one would buy."""

    in_use: MeterRisk
    better: MeterRisk
    meter_worth_percent: tuple[tuple[str, float], ...]
    """Chemistry and half-width of the 95 % interval in % state of charge, meter alone, at 12.60 V."""
