"""An amount of money from a cell, as exact decimal text."""

import re
import unicodedata
from decimal import Decimal

from intake.checks.cells.cell_text import LEAVE_EMPTY, is_placeholder, plain_figures, quoted
from intake.checks.cells.parse_figure import parse_figure
from intake.checks.cells.parsed_cell import Taken, Unreadable
from intake.checks.cells.read_number import NOT_A_DATE
from intake.model.raw_workbook import RawCell

_LARGEST = Decimal(10) ** 12
_CODE = re.compile(
    r"(?:(?P<before>[A-Za-z]{3})(?![A-Za-z]))? ?(?P<amount>.*?) ?(?P<after>(?<![A-Za-z])[A-Za-z]{3})?"
)
_EXPECTED = "an amount of money, a plain number"


def read_money(cell: RawCell, *, currency: str | None) -> Taken[str] | Unreadable:
    """Return the amount as exact decimal text, without currency sign or code.

    A three-letter code that is not the batch's ``currency`` is refused.
    """
    value = cell.value
    if isinstance(value, str):
        return _from_text(cell, value, currency)
    if isinstance(value, bool):
        return _no_amount(cell, "Type the amount as a number.")
    if not isinstance(value, int | float):
        return _no_amount(cell, NOT_A_DATE)
    amount = Decimal(value) if isinstance(value, int) else Decimal(repr(value))
    return _amount(cell, amount)


def _no_amount(cell: RawCell, hint: str) -> Unreadable:
    return Unreadable(f"{quoted(cell.value)} is not {_EXPECTED}.", hint)


def _amount(cell: RawCell, amount: Decimal) -> Taken[str] | Unreadable:
    if not amount.is_finite() or abs(amount) >= _LARGEST:
        return _no_amount(cell, "Type the amount again.")
    return Taken(format(abs(amount) if amount == 0 else amount, "f"))


def _from_text(cell: RawCell, text: str, currency: str | None) -> Taken[str] | Unreadable:
    without_sign = "".join(sign for sign in plain_figures(text) if unicodedata.category(sign) != "Sc").strip()
    parts = _CODE.fullmatch(without_sign)
    if is_placeholder(text) or parts is None or not any(map(str.isdigit, without_sign)):
        return _no_amount(cell, LEAVE_EMPTY)
    codes = [code.upper() for code in (parts["before"], parts["after"]) if code]
    if currency and any(code != currency.upper() for code in codes):
        hint = f"Type the amount in {currency}, or mend Currency on the Batch sheet."
        return Unreadable(f"{quoted(text)} is not in the batch's currency, {currency}.", hint)
    figure = parse_figure(parts["amount"])
    if figure is None or figure.unit or not figure.readings:
        return _no_amount(cell, "Type the amount alone, such as 12.50.")
    if len(figure.readings) > 1:
        one, other = figure.readings
        return Unreadable(
            f"{quoted(text)} can be read as {one} or as {other}.",
            f"Type {one} or {other}, whichever was meant.",
        )
    return _amount(cell, figure.readings[0])
