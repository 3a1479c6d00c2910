"""Mass of a battery that nobody weighed."""

from intake.model.battery import Battery
from intake.policy.grading_policy import GradingPolicy


def mass_kg(battery: Battery, *, policy: GradingPolicy) -> tuple[float | None, bool]:
    """Return the mass in kg and whether it was estimated from the rated capacity.

    (None, False) where it was neither weighed nor can be estimated.
    """
    if battery.mass_kg is not None:
        return battery.mass_kg, False
    per_ah = policy.mass.kg_per_ah.get(battery.chemistry)
    if per_ah is None or battery.rated_capacity_ah is None:
        return None, False
    return per_ah.value * battery.rated_capacity_ah, True
