"""The yard's account over a period: opening + came in = sold + shipped + returned + on hand + difference."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date

from intake.model.account import (
    Account,
    AccountLine,
    Amount,
    Departure,
    Difference,
    OnHand,
    SentLoad,
    StockItem,
)
from intake.model.battery import Chemistry
from intake.model.kilograms import grams_in_words
from intake.model.load import LoadKind
from intake.model.register import Period
from intake.model.verdict import Grade, Handling

NO_STREAM = "in no waste stream"
_UNCLEAR = (Chemistry.OTHER, Chemistry.UNKNOWN)
Key = tuple[str, str]
"""Batch and tag in lower case."""
Fits = Callable[[StockItem | Departure], bool]
"""Whether a line takes a battery."""


def account_of(stock: Iterable[StockItem], loads: Iterable[SentLoad], period: Period) -> Account:
    """Return the account of everything that was received or left up to the closing date.

    A battery counts as gone from the day of the first load that has it. What left without having come in,
    and what a load weighs otherwise than it came in, is left over as a difference and named.
    """
    items = _items(one for one in stock if one.received <= period.closing)
    sent = sorted((one for one in loads if one.day <= period.closing), key=lambda one: (one.day, one.load))
    gone = _first_departures(sent)
    inside = [one for one in sent if one.day >= period.first]

    def line(title: str, fits: Fits) -> AccountLine:
        return _line(title, items, gone, period, fits)

    return Account(
        whole=line("All", lambda _: True),
        by_chemistry=_used(line(one.value, _of_chemistry(one)) for one in Chemistry),
        by_stream=_used(
            line(key or NO_STREAM, _of_stream(key)) for key in _streams([*items.values(), *gone.values()])
        ),
        by_consignee=tuple(_by_consignee(inside, gone)),
        loads=tuple(inside),
        on_hand=_on_hand(items, gone, period.closing),
        differences=tuple(_differences(items, gone, inside)),
    )


def _key(batch: str, tag: str) -> Key:
    return batch.casefold(), tag.casefold()


def _items(stock: Iterable[StockItem]) -> dict[Key, StockItem]:
    """Return each battery by batch and tag; of a tag that appears twice in a batch every row counts."""
    items: dict[Key, StockItem] = {}
    for one in stock:
        key = _key(one.batch, one.tag)
        items[key if key not in items else (key[0], f"{key[1]}, again {len(items)}")] = one
    return items


def _first_departures(loads: Sequence[SentLoad]) -> dict[Key, Departure]:
    gone: dict[Key, Departure] = {}
    for load in loads:
        for one in load.departures:
            gone.setdefault(_key(one.batch, one.tag), one)
    return gone


def _streams(ones: Iterable[StockItem | Departure]) -> list[str | None]:
    found = {one.stream for one in ones}
    return sorted(found, key=lambda key: (key is None, key or ""))


def _of_chemistry(chemistry: Chemistry) -> Fits:
    return lambda one: one.chemistry is chemistry


def _of_stream(key: str | None) -> Fits:
    return lambda one: one.stream == key


def _used(lines: Iterable[AccountLine]) -> tuple[AccountLine, ...]:
    """Return the lines that count anything."""
    return tuple(one for one in lines if any(part.count for part in _parts(one)))


def _parts(line: AccountLine) -> tuple[Amount, ...]:
    return (line.opening, line.came_in, line.sold, line.shipped, line.returned, line.on_hand)


def _line(
    title: str,
    items: dict[Key, StockItem],
    gone: dict[Key, Departure],
    period: Period,
    fits: Fits,
) -> AccountLine:
    def left_by(key: Key, day: date) -> bool:
        return key in gone and gone[key].day < day

    chosen = {key: one for key, one in items.items() if fits(one)}
    opening = _amount(
        one for key, one in chosen.items() if one.received < period.first and not left_by(key, period.first)
    )
    came_in = _amount(one for one in chosen.values() if one.received >= period.first)
    on_hand = _amount(one for key, one in chosen.items() if key not in gone)
    out = {
        kind: _amount(
            one for one in gone.values() if fits(one) and one.kind is kind and one.day >= period.first
        )
        for kind in LoadKind
    }
    explained = [*out.values(), on_hand]
    return AccountLine(
        title=title,
        opening=opening,
        came_in=came_in,
        sold=out[LoadKind.SALE],
        shipped=out[LoadKind.RECYCLING],
        returned=out[LoadKind.RETURN],
        on_hand=on_hand,
        difference=Amount(
            opening.count + came_in.count - sum(one.count for one in explained),
            opening.mass_g + came_in.mass_g - sum(one.mass_g for one in explained),
        ),
    )


def _amount(ones: Iterable[StockItem | Departure]) -> Amount:
    masses = [one.mass_g or 0 for one in ones]
    return Amount(len(masses), sum(masses))


def _by_consignee(loads: Sequence[SentLoad], gone: dict[Key, Departure]) -> Iterator[AccountLine]:
    none = Amount()
    names = dict.fromkeys(one.consignee for one in loads)
    for name in sorted(names, key=str.casefold):
        out = {
            kind: _amount(
                one
                for load in loads
                if load.consignee == name and load.kind is kind
                for one in load.departures
                if gone[_key(one.batch, one.tag)] is one
            )
            for kind in LoadKind
        }
        yield AccountLine(
            name,
            none,
            none,
            out[LoadKind.SALE],
            out[LoadKind.RECYCLING],
            out[LoadKind.RETURN],
            none,
            none,
        )


def _on_hand(items: dict[Key, StockItem], gone: dict[Key, Departure], closing: date) -> tuple[OnHand, ...]:
    held = [OnHand(one, (closing - one.received).days) for key, one in items.items() if key not in gone]

    def order(one: OnHand) -> tuple[bool, bool, int, str, str]:
        item = one.item
        calm = item.handling is Handling.INTACT and item.chemistry not in _UNCLEAR
        return (calm, item.handling is not Handling.DAMAGED, -one.days, item.batch, item.tag)

    return tuple(sorted(held, key=order))


def _differences(
    items: dict[Key, StockItem], gone: dict[Key, Departure], loads: Sequence[SentLoad]
) -> Iterator[Difference]:
    for load in loads:
        for one in load.departures:
            yield from _battery_difference(one, items, gone)
        yield from _receipt_differences(load)


def _battery_difference(
    one: Departure, items: dict[Key, StockItem], gone: dict[Key, Departure]
) -> Iterator[Difference]:
    key = _key(one.batch, one.tag)
    item, first = items.get(key), gone[key]

    def differ(text: str) -> Difference:
        return Difference(one.load, one.batch, one.tag, text)

    if first is not one:
        yield differ(f"left already in load {first.load}; counted there")
    elif item is None:
        yield differ("left, but no graded batch that was read has it")
    else:
        if one.day < item.received:
            yield differ(f"left on {one.day}, before it was received on {item.received}")
        if (one.mass_g or 0) != (item.mass_g or 0):
            yield differ(f"{_kg(one.mass_g)} in the load, {_kg(item.mass_g)} when it came in")
        if one.kind is LoadKind.SALE and not (
            item.grade is Grade.RESALE and item.handling is Handling.INTACT
        ):
            handled = "" if item.handling is Handling.INTACT else f", handling {item.handling.value}"
            yield differ(f"sold to {one.consignee}, now graded {item.grade.value}{handled}: tell the buyer")
        elif one.chemistry is not item.chemistry or one.stream != item.stream:
            yield differ("its chemistry or stream in the load is not that of its graded batch")


def _receipt_differences(load: SentLoad) -> Iterator[Difference]:
    count, mass_g = len(load.departures), sum(one.mass_g or 0 for one in load.departures)
    if load.received_g is not None and load.received_g != mass_g:
        text = f"the receiver weighed {_kg(load.received_g)}, the load says {_kg(mass_g)}"
        yield Difference(load.load, "", "", text)
    if load.received_count is not None and load.received_count != count:
        yield Difference(
            load.load, "", "", f"the receiver counted {load.received_count}, the load has {count}"
        )
    if load.differences:
        yield Difference(load.load, "", "", f"the receiver writes: {load.differences}")


def _kg(mass_g: int | None) -> str:
    return "no mass" if mass_g is None else f"{grams_in_words(mass_g, decimals=3)} kg"
