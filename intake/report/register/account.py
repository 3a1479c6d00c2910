"""The account of a register on paper: what came in, what left, what is on hand, what does not add up."""

from collections.abc import Callable, Sequence
from dataclasses import replace

from intake.model.account import Account, AccountLine, Amount, OnHand, SentLoad
from intake.model.kilograms import grams_in_words
from intake.policy.waste_streams import stream_in_words
from intake.report.drawing.blocks import side_by_side
from intake.report.drawing.list_table import GAP, Align, Column, ListTable
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.styles import MUTED, STRONG
from intake.report.drawing.two_columns import GUTTER, column_width
from intake.report.drawing.writer import Writer
from intake.report.register.words import differences_in_words, receiver_differs

_MOST_ON_HAND, _MOST_DIFFERENCES = 20, 12
"""Lines on paper; the workbook and the JSON list all."""
_TITLE = "What came in and where it went"
_DASH = "–"
Part = tuple[str, Callable[[AccountLine], Amount]]
"""Head and amount of a part of the account."""
_PARTS: tuple[Part, ...] = (
    ("On hand before", lambda one: one.opening),
    ("Came in", lambda one: one.came_in),
    ("Sold", lambda one: one.sold),
    ("Shipped", lambda one: one.shipped),
    ("Returned", lambda one: one.returned),
    ("On hand", lambda one: one.on_hand),
    ("Difference", lambda one: one.difference),
)
_MOST_PARTS = 4
"""Parts of the account of which number and kg fit beside each other."""
_COUNT_WIDTH, _KG_WIDTH, _WIDTH = 32.0, 40.0, 510.0
_LOADS = (
    Column("Load", 1.3, style=STRONG),
    Column("Left", 1.5),
    Column("Kind", 1.2),
    Column("Consignee", 1.8),
    Column("Received", 1.5),
    Column("Number", 1.1, Align.POINT),
    Column("Receiver counted", 1.1, Align.POINT),
    Column("kg", 1, Align.POINT),
    Column("Receiver weighed", 1.1, Align.POINT),
    Column("", 0.9, style=STRONG),
)
_HELD = (
    Column("Tag", 1.2, style=STRONG),
    Column("Batch", 2.4),
    Column("Chemistry", 1.9),
    Column("Handling", 1.4),
    Column("Days", 0.7, Align.POINT),
)


def place_differences(writer: Writer, account: Account) -> None:
    """Place what does not add up, what the receivers say first."""
    writer.part("What does not add up")
    texts = differences_in_words(account.differences)
    more = len(texts) - _MOST_DIFFERENCES
    if more > 0:
        texts[_MOST_DIFFERENCES:] = [f"And {more} more: the sheet Differences of the workbook."]
    writer.points(texts or ["Nothing: every battery that left came in, with the same mass."])


def place_account(writer: Writer, account: Account) -> None:
    """Place the account with its loads and what is on hand."""
    writer.section(
        _TITLE,
        "On hand before + came in = sold + shipped + returned + on hand + difference; batteries and kg. "
        "Shipped is what the loads say; what a receiver counted or weighed stands under Loads.",
    )
    streams = [replace(one, title=stream_in_words(one.title)) for one in account.by_stream]
    _place_lines(writer, [account.whole, *account.by_chemistry, *streams])
    if account.loads:
        writer.part("Loads")
        writer.table(_LOADS, [_load_row(one) for one in account.loads], title="Loads")
    _place_on_hand(writer, account.on_hand)


def _place_lines(writer: Writer, lines: Sequence[AccountLine]) -> None:
    """Place numbers and kg; one sentence names the parts that are 0 in every line."""
    used = [(head, of) for head, of in _PARTS if any(of(one) != Amount() for one in lines)]
    unused = [head.lower() for head, _ in _PARTS if head not in [name for name, _ in used]]
    if len(used) > _MOST_PARTS:
        _place_apart(writer, lines, used)
    else:
        _place_beside(writer, lines, used)
    if unused:
        writer.text(f"0 in every line: {', '.join(unused)}.", MUTED)


def _place_beside(writer: Writer, lines: Sequence[AccountLine], used: Sequence[Part]) -> None:
    columns = []
    for head, _ in used:
        columns += [Column(head, _COUNT_WIDTH + 8, Align.POINT), Column("kg", _KG_WIDTH, Align.POINT)]
    rows = [
        (
            one.title,
            *(text for _, of in used for text in (str(of(one).count), _kilograms(of(one)))),
        )
        for one in lines
    ]
    rest = _WIDTH - sum(one.share + GAP for one in columns)
    writer.table([Column("", rest, style=STRONG), *columns], rows, title=_TITLE)


def _place_apart(writer: Writer, lines: Sequence[AccountLine], used: Sequence[Part]) -> None:
    columns = (Column("", 2.4, style=STRONG), *(Column(head, 1.3, Align.POINT) for head, _ in used))
    writer.table(
        columns, [(one.title, *(str(of(one).count) for _, of in used)) for one in lines], title=_TITLE
    )
    writer.part("The same in kg")
    masses = [(one.title, *(_kilograms(of(one)) for _, of in used)) for one in lines]
    writer.table(columns, masses, title="The same in kg")


def _kilograms(amount: Amount) -> str:
    """Return the mass, a dash where none of the batteries has one."""
    return _DASH if amount.count and not amount.mass_g else grams_in_words(amount.mass_g)


def _load_row(one: SentLoad) -> tuple[str, ...]:
    return (
        one.load,
        one.day.isoformat(),
        one.kind.value,
        one_line(one.consignee),
        one.received_on.isoformat() if one.received_on else "not yet",
        str(len(one.departures)),
        _DASH if one.received_count is None else str(one.received_count),
        grams_in_words(sum(item.mass_g or 0 for item in one.departures)),
        _DASH if one.received_g is None else grams_in_words(one.received_g),
        "differs" if receiver_differs(one) else "",
    )


def _place_on_hand(writer: Writer, held: Sequence[OnHand]) -> None:
    writer.part("On hand", "Damaged, suspect and unidentified first, then the longest held.")
    shown = held[:_MOST_ON_HAND]
    half = -(-len(shown) // 2)
    width = column_width(writer.width)
    left, right = (
        ListTable(writer.setter, _HELD, [_held_row(one) for one in ones], width=width).block()
        for ones in (shown[:half], shown[half:])
    )
    writer.flow.place(side_by_side([(0.0, left), *([(width + GUTTER, right)] if shown[half:] else [])]))
    if len(held) > _MOST_ON_HAND:
        writer.text(f"And {len(held) - _MOST_ON_HAND} more: the sheet On hand of the workbook.", MUTED)


def _held_row(one: OnHand) -> tuple[str, ...]:
    item = one.item
    return (item.tag, item.batch, item.chemistry.value, item.handling.value, str(one.days))
