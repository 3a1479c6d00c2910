"""The account of a register on paper: what came in, what left, what is on hand, what does not add up."""

from collections.abc import Callable, Sequence

from intake.model.account import Account, AccountLine, Amount, OnHand, SentLoad
from intake.report.drawing.list_table import Align, Column
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.styles import MUTED, STRONG
from intake.report.drawing.writer import Writer
from intake.report.register.words import difference_in_words

_MOST_ON_HAND = 24
"""Batteries listed on paper; the workbook and the JSON list all."""
_DASH = "–"
_COLUMNS = (
    Column("", 2.4, style=STRONG),
    Column("On hand before", 1.4, Align.POINT),
    Column("Came in", 1.3, Align.POINT),
    Column("Sold", 1.2, Align.POINT),
    Column("Shipped", 1.3, Align.POINT),
    Column("Returned", 1.3, Align.POINT),
    Column("On hand", 1.3, Align.POINT),
    Column("Difference", 1.3, Align.POINT),
)
_LOADS = (
    Column("Load", 1.6, style=STRONG),
    Column("Left", 1.3),
    Column("Kind", 1.2),
    Column("Consignee", 2.6),
    Column("Number", 1, Align.POINT),
    Column("kg", 1.2, Align.POINT),
    Column("Receiver's kg", 1.2, Align.POINT),
    Column("Received", 1.3),
)
_HELD = (
    Column("Tag", 1.6, style=STRONG),
    Column("Batch", 2.4),
    Column("Chemistry", 1.7),
    Column("Handling", 1.3),
    Column("Grade", 2.2),
    Column("Days", 0.8, Align.POINT),
    Column("kg", 1, Align.POINT),
)


def place_account(writer: Writer, account: Account) -> None:
    """Place the account with its loads, differences and what is on hand."""
    writer.section(
        "What came in and where it went",
        "On hand before + came in = sold + shipped + returned + on hand + difference; batteries, then kg.",
    )
    lines = [account.whole, *account.by_chemistry, *account.by_stream]
    counts = [_row(one, lambda amount: str(amount.count)) for one in lines]
    writer.table(_COLUMNS, counts, title="What came in and where it went")
    writer.part("The same in kg")
    masses = [_row(one, lambda amount: _kg(amount.mass_g)) for one in lines]
    writer.table(_COLUMNS, masses, title="The same in kg")
    if account.loads:
        writer.part("Loads")
        writer.table(_LOADS, [_load_row(one) for one in account.loads], title="Loads")
    writer.part("What does not add up")
    texts = [difference_in_words(one) for one in account.differences]
    writer.points(texts or ["Nothing: every battery that left came in, with the same mass."])
    _place_on_hand(writer, account.on_hand)


def _row(line: AccountLine, told: Callable[[Amount], str]) -> list[str]:
    parts = (
        line.opening,
        line.came_in,
        line.sold,
        line.shipped,
        line.returned,
        line.on_hand,
        line.difference,
    )
    return [line.title, *map(told, parts)]


def _load_row(one: SentLoad) -> tuple[str, ...]:
    return (
        one.load,
        one.day.isoformat(),
        one.kind.value,
        one_line(one.consignee),
        str(len(one.departures)),
        _kg(sum(item.mass_g or 0 for item in one.departures)),
        _DASH if one.received_g is None else _kg(one.received_g),
        one.received_on.isoformat() if one.received_on else "not yet",
    )


def _place_on_hand(writer: Writer, held: Sequence[OnHand]) -> None:
    writer.part("On hand", "Damaged, suspect and unidentified first, then the longest held.")
    rows = [
        (
            one.item.tag,
            one.item.batch,
            one.item.chemistry.value,
            one.item.handling.value,
            one.item.grade.value,
            str(one.days),
            _DASH if one.item.mass_g is None else _kg(one.item.mass_g),
        )
        for one in held[:_MOST_ON_HAND]
    ]
    writer.table(_HELD, rows, title="On hand")
    if len(held) > _MOST_ON_HAND:
        writer.text(f"And {len(held) - _MOST_ON_HAND} more: the sheet On hand of the workbook.", MUTED)


def _kg(mass_g: int) -> str:
    return f"{mass_g / 1000:.1f}"
