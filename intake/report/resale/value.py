"""What selling nets, in the resale list: sums by evidence beside scrap, and a line for each battery."""

from collections.abc import Sequence

from intake.model.result import BatchResult, GradedBattery
from intake.model.value import Amount, Road
from intake.report.drawing.flow import Block
from intake.report.drawing.small_table import COLUMN_GAP, STRONG, Align, Column, Row, small_table
from intake.report.drawing.typesetter import Typesetter
from intake.report.resale.content import ResaleContent, Section
from intake.report.resale.words import NOT_KNOWN
from intake.report.words.value_totals import advice_for, road_of, value_total

_PERCENT = 100
_WIDTH = 64.0
_TOLD = (
    "Net: the resale price less the charge before the sale. Low and high bound what the evidence leaves "
    "open: a battery to be tested first may fail and go to the recycler after all; one that has held a "
    "charge counts with the probability of its hold. A hold is no evidence of capacity."
)


def is_valued(result: BatchResult, content: ResaleContent) -> bool:
    """Say whether selling nets a known amount for any of the batteries."""
    return any(value_total(result, _graded([one]), Road.RESELL).valued for one in content.sections)


def net_in_words(result: BatchResult, one: GradedBattery) -> str:
    """Return the net value of selling one battery, of scrapping it, and from what chance its charge pays."""
    sold, scrapped = road_of(result, one, Road.RESELL), road_of(result, one, Road.RECYCLE)
    if sold is None or scrapped is None:
        return ""
    if sold.amount is None or scrapped.amount is None:
        return f"net not known; not given: {', '.join(sold.missing)}"
    parts = [f"net {sold.amount.text}", f"as scrap {scrapped.amount.text}"]
    if sold.expected is not None:
        parts.append(f"to be expected {sold.expected.text}")
    if sold.break_even is not None:
        parts.append(f"charging pays from a chance of {sold.break_even * _PERCENT:.1f} %")
    told = "; ".join(parts)
    advice = advice_for(result, one)
    return f"{told}. {advice}" if advice else told


def net_table(setter: Typesetter, result: BatchResult, content: ResaleContent, width: float) -> Block:
    """Return the sums of each kind of evidence, sold beside scrapped."""
    unit = f" {content.currency}".rstrip()
    names = ("sold, low", "sold, high", "scrap, low", "scrap, high")
    columns = [Column(f"{name}{unit}", _WIDTH, Align.POINT) for name in names]
    columns.append(Column("without a net value", _WIDTH, Align.POINT))
    proven = [one for one in content.sections if one.proven]
    rows = [Row((one.title, *_figures(result, [one]))) for one in proven]
    rows.append(Row(("Both that held a charge", *_figures(result, proven)), style=STRONG))
    rows += [Row((one.title, *_figures(result, [one]))) for one in content.sections if not one.proven]
    name_width = width - sum(column.width + COLUMN_GAP for column in columns)
    return small_table(setter, (Column("Net value", name_width), *columns), rows)


def net_told(result: BatchResult, content: ResaleContent) -> str:
    """Return how to read the sums, how they were rounded, and what the site's success rate lets expect."""
    unproven = [one for one in content.sections if not one.proven]
    expected = value_total(result, _graded(unproven), Road.RESELL).expected
    parts = [_TOLD]
    if expected is not None:
        unit = f"{content.currency} ".lstrip()
        parts.append(
            f"Those to be tested first: {unit}{expected.text} to be expected at the site's success rates."
        )
    if result.value is not None:
        parts.append(result.value.rounding)
    return " ".join(parts)


def _graded(sections: Sequence[Section]) -> list[GradedBattery]:
    return [offer.graded for one in sections for offer in one.offers]


def _figures(result: BatchResult, sections: Sequence[Section]) -> tuple[str, ...]:
    sold, scrapped = (value_total(result, _graded(sections), road) for road in (Road.RESELL, Road.RECYCLE))
    return (
        *_ends(sold.amount, known=sold.valued),
        *_ends(scrapped.amount, known=scrapped.valued),
        str(sold.without_value),
    )


def _ends(amount: Amount, *, known: bool) -> tuple[str, str]:
    return (f"{amount.low:f}", f"{amount.high:f}") if known else (NOT_KNOWN, NOT_KNOWN)
