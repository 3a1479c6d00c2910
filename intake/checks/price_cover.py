"""Whether the prices reach every battery: what is missing is named by chemistry and column."""

from collections.abc import Iterable, Sequence

from intake.checks.battery_draft import BatteryDraft
from intake.checks.cells.cell_text import counted
from intake.checks.finding_log import FindingLog, Spot
from intake.checks.price_rows import PricedRow, band_text
from intake.model.battery import Chemistry, Price
from intake.model.price_bands import price_for
from intake.policy.dictionary import load_dictionary

_FOR_SCRAP = ("scrap_price_per_kg", "disposal_cost")
_FOR_ANY = ("resale_price", "scrap_price_per_kg", "recondition_cost", "charge_cost", "disposal_cost")
_SCRAP_ONLY = frozenset({"cracked", "leaking", "swollen", "burnt"})
"""Cases that leave recycling alone."""
_TAGS_NAMED = 5


def check_cover(priced: Sequence[PricedRow], drafts: Sequence[BatteryDraft], log: FindingLog) -> None:
    """Warn of each chemistry without a row, each size without a band, each row with a blank that is needed.

    Batteries that no road is open to yet need no price: those of unknown or other chemistry.
    """
    if not priced:
        return
    prices = [one.price for one in priced]
    needed: dict[int, set[str]] = {}
    without: dict[tuple[Chemistry, bool], list[BatteryDraft]] = {}
    for draft in drafts:
        if not draft.chemistry_was_read or draft.chemistry in (Chemistry.UNKNOWN, Chemistry.OTHER):
            continue
        capacity_ah = draft.values.get("rated_capacity_ah")
        price = price_for(prices, chemistry=draft.chemistry, rated_capacity_ah=capacity_ah)
        if price is None:
            without.setdefault((draft.chemistry, capacity_ah is None), []).append(draft)
        else:
            scrap_only = draft.values.get("case") in _SCRAP_ONLY
            needed.setdefault(prices.index(price), set()).update(_FOR_SCRAP if scrap_only else _FOR_ANY)
    _warn_of_blanks([(priced[place], keys) for place, keys in needed.items()], log)
    for (chemistry, no_capacity), ones in without.items():
        _warn_of_no_row(chemistry, ones, prices, log, no_capacity=no_capacity)


def _warn_of_blanks(rows: Iterable[tuple[PricedRow, set[str]]], log: FindingLog) -> None:
    """Warn of rows that lack the same columns in the same words, so that they are found once."""
    alike: dict[tuple[str, ...], list[PricedRow]] = {}
    for row, keys in rows:
        columns = [one for one in load_dictionary().sheets["prices"].columns if one.key in keys]
        blank = tuple(one.header for one in columns if getattr(row.price, one.key) is None)
        if blank:
            alike.setdefault(blank, []).append(row)
    for blank, ones in alike.items():
        named = " and ".join(f'"{header}"' for header in blank)
        bands = ", ".join(band_text(one.price) for one in ones)
        for one in ones:
            log.warn(
                f"Blank for {bands}: {named}. No sum that needs it is made.",
                "Fill it in; write 0 where no money changes hands, and leave it blank if it is not known.",
                one.place.spot("chemistry"),
            )


def _warn_of_no_row(
    chemistry: Chemistry,
    ones: Sequence[BatteryDraft],
    prices: Sequence[Price],
    log: FindingLog,
    *,
    no_capacity: bool,
) -> None:
    tags = ", ".join(one.tag for one in ones[:_TAGS_NAMED]) + (" …" if len(ones) > _TAGS_NAMED else "")
    batteries = f"{counted(len(ones), 'battery')} ({tags})"
    if all(one.chemistry is not chemistry for one in prices):
        told = f"No row of prices for {chemistry.value}: nothing is worked out for {batteries}."
        hint = f"Add a row for {chemistry.value} and fill in its columns."
    elif no_capacity:
        told = f"Prices of {chemistry.value} go by size, and no rated capacity is given for {batteries}."
        hint = "Fill in Rated capacity (Ah) on the Batteries sheet."
    else:
        told = f"No band of {chemistry.value} is for {batteries}: nothing is worked out for them."
        hint = "Widen a band, or add a row."
    log.warn(told, hint, Spot(field="Chemistry"))
