"""Whether what was graded can be at all: the last look before anything is written of it."""

import math
from collections.abc import Iterator

from intake.model.finding import Finding, Severity
from intake.model.result import BatchResult, GradedBattery
from intake.model.verdict import StateOfCharge

_FULL_PERCENT = 100.0


def impossible_results(result: BatchResult) -> Finding | None:
    """Return the finding that rejects a batch whose own results cannot be; None where all can.

    It costs next to nothing; the whole schema is held against every document by the tests and by those who
    read it.
    """
    for one in result.graded:
        for what in _impossible(one):
            return Finding(
                Severity.ERROR,
                f"What was graded of this battery cannot be: {what}.",
                "This comes from the grading policy in use, or is a defect of intake. Nothing of the batch is"
                " written. Please report it with the workbook and the policy.",
                sheet="Batteries",
                tag=one.battery.tag,
                row=one.battery.row,
                rejects=True,
            )
    return None


def _impossible(one: GradedBattery) -> Iterator[str]:
    verdict = one.verdict
    held = verdict.held_charge.state_of_charge if verdict.held_charge else None
    for name, charge in (("state of charge", verdict.state_of_charge), ("charge that is held", held)):
        if charge is not None and not _possible(charge):
            yield f"a {name} of {charge.low_percent:g} to {charge.high_percent:g} %"
    lost = verdict.self_discharge
    if lost is not None and not (
        math.isfinite(lost.low) and math.isfinite(lost.high) and lost.low <= lost.high
    ):
        yield f"a self-discharge of {lost.low:g} to {lost.high:g} % a month"
    for step in verdict.reasons:
        if step.probability is not None and not 0 <= step.probability <= 1:
            yield f"a probability of {step.probability:g}"
    if one.mass_kg is not None and not 0 <= one.mass_kg < math.inf:
        yield f"a mass of {one.mass_kg:g} kg"


def _possible(charge: StateOfCharge) -> bool:
    return (
        0 <= charge.low_percent <= charge.value_percent <= charge.high_percent <= _FULL_PERCENT
        and math.isfinite(charge.voltage_25c_v)
        and math.isfinite(charge.standard_uncertainty_v)
    )
