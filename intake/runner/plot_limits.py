"""The limits that a plot of voltages shows for one chemistry."""

from intake.grading.quantities import GRADABLE
from intake.grading.state_of_charge import voltage_at_v
from intake.model.battery import Chemistry
from intake.policy.grading_policy import GradingPolicy


def plot_limits(chemistry: Chemistry, policy: GradingPolicy) -> tuple[tuple[str, float], ...]:
    """Return (label, voltage in V at 25 degC) of the rest screen's and the hold test's limits."""
    if chemistry not in GRADABLE:
        return ()
    marks = (policy.hold.high_state_of_charge_percent.value, policy.hold.middle_state_of_charge_percent.value)
    return (
        ("rest", policy.rest.sound_v[chemistry].value),
        *(
            (
                f"hold {mark:g} %",
                voltage_at_v(state_of_charge_percent=mark, chemistry=chemistry, policy=policy),
            )
            for mark in marks
        ),
    )
