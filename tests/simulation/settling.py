"""How the voltage of an open circuit settles after a charge or a discharge.

d(eta)/dt = -(c/tau)(exp(eta/c) - 1): a Tafel reaction discharges what the plates hold beyond their rest. Far
from rest it falls by c per e-fold of time, near rest it dies out with tau. The equation has a closed
solution, 1 - exp(-eta/c) = (1 - exp(-eta0/c)) exp(-t/tau); after a discharge the sign is reversed.
"""

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Settling:
    """How one block settles after one kind of event."""

    tafel_v: float
    """c, of the whole block, V per e-fold."""
    tau_h: float
    start_v: float
    """Overvoltage at the moment when the circuit opens; below 0 after a discharge."""

    def left_v(self, hours: float) -> float:
        """Return the overvoltage that is left after so many hours."""
        start = abs(self.start_v)
        gone = -math.expm1(-start / self.tafel_v) * math.exp(-hours / self.tau_h)
        return math.copysign(-self.tafel_v * math.log1p(-gone), self.start_v)
