"""A check against something outside the project: its source, its tolerance, and how far the code is off.

A decorated generator yields cases: what is looked at, what the source says, what is found. It becomes a test
that holds every case to the tolerance, and a line of the table in DEVELOPERS.md.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from numbers import Real

Case = tuple[object, object, object]
"""What is looked at, what the source says of it, what is found."""


@dataclass(frozen=True)
class Check:
    checked: str
    against: str
    within: float
    """Tolerance in the unit; 0 where cases have to be equal."""
    unit: str
    """Unit of the cases' figures; "%" where figures are compared as shares of what the source says."""
    cases: Callable[[], Iterator[Case]]

    def deviations(self) -> list[tuple[float, Case]]:
        return [(self._deviation(case), case) for case in self.cases()]

    def _deviation(self, case: Case) -> float:
        _, expected, found = case
        if self.within == 0:
            return 0.0 if expected == found else float("inf")
        assert isinstance(expected, Real)
        assert isinstance(found, Real)
        difference = abs(float(found) - float(expected))
        return 100 * difference / abs(float(expected)) if self.unit == "%" else difference


CHECKS: dict[str, Check] = {}
"""By module and name, in the order of the modules."""


def check(
    checked: str, *, against: str, within: float = 0.0, unit: str = ""
) -> Callable[[Callable[[], Iterator[Case]]], Callable[[], None]]:
    """Turn a generator of cases into a test and a line of the table."""

    def register(cases: Callable[[], Iterator[Case]]) -> Callable[[], None]:
        one = Check(checked, against, within, unit, cases)
        CHECKS[f"{cases.__module__}.{cases.__name__}"] = one

        def test() -> None:
            found = one.deviations()
            assert found, "no cases"
            off = [f"{what}: {said} against {got}" for far, (what, said, got) in found if not far <= within]
            assert not off, f"{len(off)} of {len(found)} lie further off than {within:g} {unit}: {off[:5]}"

        test.__name__, test.__doc__, test.__module__ = cases.__name__, cases.__doc__, cases.__module__
        return test

    return register
