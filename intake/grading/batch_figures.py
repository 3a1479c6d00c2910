"""What the meter in use is worth for a batch, and what a better one would buy."""

from collections.abc import Iterable, Sequence

from intake.grading.grade_battery import grade_battery
from intake.grading.quantities import GRADABLE, Bench
from intake.grading.state_of_charge import meter_worth_percent
from intake.model.battery import Battery, Chemistry
from intake.model.rules import Rule
from intake.model.verdict import BatchFigures, Grade, MeterRisk, Verdict
from intake.policy.grading_policy import GradingPolicy

_ACCEPTANCE = (Rule.RESTS_HIGH, Rule.HOLD_HIGH)
"""The rules that accept by a voltage; their probability is that of deserving it."""
_HELD_BACK_BY_VOLTAGE = (Rule.NEEDS_RECOVERY, Rule.HOLD_MIDDLE, Rule.HOLD_LOW)


def batch_figures(
    batteries: Sequence[Battery],
    verdicts: Iterable[Verdict],
    *,
    accuracy_percent: float,
    accuracy_volts: float,
    policy: GradingPolicy,
) -> BatchFigures:
    """Return expected wrong decisions with the meter in use and with the policy's better meter.

    With the better meter the same readings are graded anew. ``verdicts`` are read once, in order.
    """
    better_percent = policy.meter.better_accuracy_percent.value
    better_volts = policy.meter.better_accuracy_volts.value
    regraded = (
        grade_battery(one, accuracy_percent=better_percent, accuracy_volts=better_volts, policy=policy)
        for one in batteries
    )
    present = {one.chemistry for one in batteries}
    bench = Bench(policy, accuracy_percent, accuracy_volts)
    return BatchFigures(
        in_use=_risk(verdicts, accuracy_percent, accuracy_volts),
        better=_risk(regraded, better_percent, better_volts),
        meter_worth_percent=tuple(
            (chemistry.value, meter_worth_percent(chemistry=chemistry, bench=bench))
            for chemistry in Chemistry
            if chemistry in present and chemistry in GRADABLE
        ),
    )


def _risk(verdicts: Iterable[Verdict], accuracy_percent: float, accuracy_volts: float) -> MeterRisk:
    wrong_acceptances = wrong_rejections = 0.0
    for verdict in verdicts:
        if verdict.decisive.rule in _ACCEPTANCE:
            wrong_acceptances += 1 - _probability_of_deserving_resale(verdict)
        elif verdict.decisive.rule in _HELD_BACK_BY_VOLTAGE and verdict.grade is not Grade.UNRESOLVED:
            wrong_rejections += _probability_of_deserving_resale(verdict)
    return MeterRisk(accuracy_percent, accuracy_volts, wrong_acceptances, wrong_rejections)


def _probability_of_deserving_resale(verdict: Verdict) -> float:
    """Return the probability of the last acceptance rule; whatever decides by voltage has weighed one."""
    weighed = [
        step.probability
        for step in verdict.steps
        if step.rule in _ACCEPTANCE and step.probability is not None
    ]
    return weighed[-1]
