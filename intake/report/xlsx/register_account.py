"""The account in ``register.xlsx``: lines, loads, every battery on hand, what does not add up."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial

from xlsxwriter.workbook import Workbook
from xlsxwriter.worksheet import Worksheet

from intake.model.account import Account, AccountLine, Amount, Difference, OnHand, SentLoad
from intake.model.kilograms import in_kg
from intake.policy.waste_streams import stream_in_words
from intake.report.xlsx.book import Formats, ListColumn, write_list

_PARTS = (
    ("On hand before", "opening"),
    ("Came in", "came_in"),
    ("Sold", "sold"),
    ("Shipped", "shipped"),
    ("Returned", "returned"),
    ("On hand", "on_hand"),
    ("Difference", "difference"),
)
_By = tuple[str, AccountLine]


def write_account(book: Workbook, account: Account, looks: Formats) -> tuple[Worksheet, ...]:
    """Write the four sheets of the account and return them."""
    sheets = tuple(book.add_worksheet(name) for name in ("Account", "Loads", "On hand", "Differences"))
    lines, loads, held, differences = sheets
    write_list(lines, list(_line_columns(looks)), _lines(account), looks)
    write_list(loads, _load_columns(looks), account.loads, looks)
    write_list(held, _held_columns(looks), account.on_hand, looks)
    write_list(differences, _difference_columns(looks), account.differences, looks)
    return sheets


def _lines(account: Account) -> Sequence[_By]:
    return [
        ("all", account.whole),
        *(("chemistry", one) for one in account.by_chemistry),
        *(("stream", replace(one, title=stream_in_words(one.title))) for one in account.by_stream),
        *(("consignee", one) for one in account.by_consignee),
    ]


def _line_columns(looks: Formats) -> Iterator[ListColumn[_By]]:
    yield ListColumn("By", 12, looks.text, lambda one: one[0])
    yield ListColumn("Line", 26, looks.strong, lambda one: one[1].title)
    for header, part in _PARTS:
        yield ListColumn(header, 10, looks.count, partial(_count, part), figure=True)
        yield ListColumn(f"{header} (kg)", 11, looks.kilograms, partial(_kg, part), figure=True)


def _count(part: str, one: _By) -> int:
    return _amount(part, one).count


def _kg(part: str, one: _By) -> float:
    return in_kg(_amount(part, one).mass_g)


def _amount(part: str, one: _By) -> Amount:
    amount: Amount = getattr(one[1], part)
    return amount


def _load_columns(looks: Formats) -> Sequence[ListColumn[SentLoad]]:
    text = looks.text
    return (
        ListColumn("Load", 16, looks.strong, lambda one: one.load),
        ListColumn("Left", 12, looks.day, lambda one: one.day),
        ListColumn("Kind", 11, text, lambda one: one.kind.value),
        ListColumn("Consignee", 30, text, lambda one: one.consignee),
        ListColumn("Batteries", 10, looks.count, lambda one: len(one.departures), figure=True),
        ListColumn("Net (kg)", 11, looks.kilograms, _net_kg, figure=True),
        ListColumn("Received on", 12, looks.day, lambda one: one.received_on),
        ListColumn("Receiver's count", 11, looks.count, lambda one: one.received_count, figure=True),
        ListColumn(
            "Receiver's weight (kg)",
            12,
            looks.kilograms,
            lambda one: None if one.received_g is None else in_kg(one.received_g),
            figure=True,
        ),
        ListColumn("Differences", 40, text, lambda one: one.differences),
    )


def _net_kg(one: SentLoad) -> float:
    return in_kg(sum(item.mass_g or 0 for item in one.departures))


def _held_columns(looks: Formats) -> Sequence[ListColumn[OnHand]]:
    text = looks.text
    return (
        ListColumn("Tag", 14, looks.strong, lambda one: one.item.tag),
        ListColumn("Batch", 20, text, lambda one: one.item.batch),
        ListColumn("Received", 12, looks.day, lambda one: one.item.received),
        ListColumn("Days", 8, looks.count, lambda one: one.days, figure=True),
        ListColumn("Chemistry", 14, text, lambda one: one.item.chemistry.value),
        ListColumn("Grade", 20, text, lambda one: one.item.grade.value),
        ListColumn("Handling", 11, text, lambda one: one.item.handling.value),
        ListColumn("Stream", 36, text, lambda one: stream_in_words(one.item.stream)),
        ListColumn(
            "Mass (kg)",
            10,
            looks.kilograms,
            lambda one: None if one.item.mass_g is None else in_kg(one.item.mass_g),
            figure=True,
        ),
    )


def _difference_columns(looks: Formats) -> Sequence[ListColumn[Difference]]:
    text = looks.text
    return (
        ListColumn("Load", 16, looks.strong, lambda one: one.load),
        ListColumn("Batch", 20, text, lambda one: one.batch),
        ListColumn("Tag", 14, text, lambda one: one.tag),
        ListColumn("What does not add up", 70, text, lambda one: one.text),
    )
