"""What reading one cell comes to: a value with remarks, or a reason why it cannot be used."""

from dataclasses import dataclass
from typing import Generic, TypeVar

from intake.model.finding import Severity

Value = TypeVar("Value")


@dataclass(frozen=True, slots=True)
class Remark:
    """Something to say about a value that was taken all the same."""

    severity: Severity
    message: str
    hint: str


@dataclass(frozen=True, slots=True)
class Taken(Generic[Value]):
    """A value, and what was converted or assumed on the way."""

    value: Value
    remarks: tuple[Remark, ...] = ()


@dataclass(frozen=True, slots=True)
class Unreadable:
    """Why a cell gives no value: what was read, what was expected, and what to do."""

    message: str
    hint: str


AS_MEANT = "Nothing to do if that is what was meant."


def note(message: str, hint: str = AS_MEANT) -> Remark:
    """Return a remark that only informs."""
    return Remark(Severity.NOTE, message, hint)
