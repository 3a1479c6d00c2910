"""Sums of what is graded for resale, by evidence: number, mass, the site's own prices."""

import math
from collections.abc import Sequence
from decimal import Decimal

from intake.report.drawing.flow import Block
from intake.report.drawing.small_table import COLUMN_GAP, STRONG, Align, Column, Row, small_table
from intake.report.drawing.typesetter import Typesetter
from intake.report.resale.content import ResaleContent, Section
from intake.report.resale.words import NOT_KNOWN, money


def sums_table(setter: Typesetter, content: ResaleContent, width: float) -> Block:
    """Return the sums of each kind of evidence, and of all that held a charge together."""
    columns = [Column("number", 46, Align.POINT), Column("mass kg", 56, Align.POINT)]
    if content.priced:
        columns += [
            Column(_price_head(content), 80, Align.POINT),
            Column("without a price", 66, Align.POINT),
        ]
    name = width - sum(column.width + COLUMN_GAP for column in columns)
    proven = [section for section in content.sections if section.proven]
    rows = [Row((section.title, *_figures(content, [section]))) for section in proven]
    rows.append(Row(("All that held a charge", *_figures(content, proven)), style=STRONG))
    rows += [
        Row((section.title, *_figures(content, [section])))
        for section in content.sections
        if not section.proven
    ]
    return small_table(setter, (Column("Evidence", name), *columns), rows)


def _figures(content: ResaleContent, sections: Sequence[Section]) -> tuple[str, ...]:
    number = sum(section.total.count for section in sections)
    mass_kg = math.fsum(section.total.mass_kg for section in sections)
    weighed = number - sum(section.total.without_mass for section in sections)
    figures = (str(number), f"{mass_kg:.1f}" if weighed else NOT_KNOWN)
    if not content.priced:
        return figures
    value = sum((section.value for section in sections), Decimal(0))
    without = sum(section.without_price for section in sections)
    return (*figures, money(value) if number > without else NOT_KNOWN, str(without))


def _price_head(content: ResaleContent) -> str:
    return f"resale price {content.currency}".strip()
