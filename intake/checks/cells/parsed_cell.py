"""What reading one cell comes to: a value with remarks, or a reason why it cannot be used."""

from typing import Generic, NamedTuple, TypeVar

from intake.model.finding import Severity

Value = TypeVar("Value")


class Remark(NamedTuple):
    """Something to say about a value that was taken all the same."""

    severity: Severity
    message: str
    hint: str


class Taken(NamedTuple, Generic[Value]):
    """A value, and what was converted or assumed on the way."""

    value: Value
    remarks: tuple[Remark, ...] = ()


class Unreadable(NamedTuple):
    """Why a cell gives no value: what was read, what was expected, and what to do."""

    message: str
    hint: str


AS_MEANT = "Nothing to do if that is what was meant."


def note(message: str, hint: str = AS_MEANT) -> Remark:
    """Return a remark that only informs."""
    return Remark(Severity.NOTE, message, hint)
