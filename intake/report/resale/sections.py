"""The list of what is graded for resale: what to sell, what to test first, what each is worth."""

from decimal import Decimal

from intake.model.compliance import Statement
from intake.model.kilograms import kg_in_words
from intake.model.result import BatchResult
from intake.report.drawing.list_table import TO_WRITE, Align, Column, Row, Words
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.styles import LEAD, MUTED, STRONG
from intake.report.drawing.writer import Writer
from intake.report.resale.condition_sheet import SheetNote
from intake.report.resale.content import Offer, ResaleContent, Section
from intake.report.resale.words import age_years, evidence_in_few_words, money
from intake.report.words.actions import on_offer
from intake.report.words.batch_facts import lead_facts
from intake.report.words.battery import charge_in_words, kind_lines
from intake.report.words.lot import lot_in_words
from intake.report.words.shelf_life import recharge_in_few_words, shelf_lives_explained
from intake.report.words.sources import Sources
from intake.report.words.wording import load_wording

NOTHING = "No battery of this batch is graded for resale."
_NET = (
    "Asked, if sold and as scrap add up the same batteries. If sold: the resale price less the charge before "
    "the sale; from low to high where a test is still open, as a battery may fail it and go to the recycler. "
    "A hold is no evidence of capacity."
)
_BEFORE_TEXT = 4.0
_RULES_HEADING = 60.0
"""Points that the heading of the rules takes, with some to spare for the numbers of their sources."""
_LEFT_OUT = "In none of the amounts, for want of a price, a cost or a mass:"
_NO_PRICE = "The workbook gives no resale price."


class Sections:
    """Sets and places the list and what follows it."""

    def __init__(self, writer: Writer, result: BatchResult, content: ResaleContent) -> None:
        self._writer = writer
        self._result = result
        self._content = content
        self.sources = Sources()
        self._rules_placed = False

    def the_list(self) -> None:
        """Place title, facts, the list by evidence, and its sums."""
        writer, content = self._writer, self._content
        count = len(content.offers)
        named = f"{count} of {len(self._result.graded)} batteries"
        writer.title(f"{self._result.batch.batch}: {named} for resale", load_wording().sale)
        writer.facts(lead_facts(self._result), columns=3)
        if not content.offers:
            writer.text(NOTHING)
            return
        for told in lot_in_words(self._result.lot, on_offer=on_offer(self._result.graded)):
            writer.text(told)
        for section in content.sections:
            writer.part(f"{section.title} ({section.total.count})", section.told)
            writer.table(self._columns(), [self._row(one) for one in section.offers], title=section.title)
        told = shelf_lives_explained((one.graded for one in content.offers), self.sources)
        if told:
            writer.flow.space(_BEFORE_TEXT)
            writer.text(told)
        self._sums()

    def _columns(self) -> tuple[Column, ...]:
        unit = f" {self._content.currency}".rstrip()
        return (
            Column("Tag, position", 75),
            Column("What it is", 82),
            Column("Read", 86),
            Column(f"Asked{unit}", 33, Align.POINT),
            Column(f"As scrap{unit}", 40),
            Column("Do", 102, style=STRONG),
            Column("Sold for, on, to", 44),
        )

    def _row(self, offer: Offer) -> Row:
        one = offer.graded
        age = age_years(one.battery.made, self._result.batch.received)
        facts = [f"{age} years" if one.battery.made else "age not known"]
        if offer.number:
            facts.append(f"sheet {offer.number}")
        return (
            (Words(one.name, LEAD), one_line(one.battery.position or "")),
            (", ".join(part for part in kind_lines(one.battery) if part), ", ".join(facts)),
            (evidence_in_few_words(one), charge_in_words(one.verdict).removeprefix("held ")),
            "–" if offer.price is None else money(Decimal(offer.price)),
            offer.scrap or "–",
            (offer.do, Words(offer.told, MUTED), Words(recharge_in_few_words(one), MUTED)),
            TO_WRITE,
        )

    def _sums(self) -> None:
        writer, content = self._writer, self._content
        unit = f" {content.currency}".rstrip()
        columns = (
            Column("In sum", 46),
            Column("number", 11, Align.POINT),
            Column("kg", 13, Align.POINT),
            Column(f"asked{unit}", 17, Align.POINT),
            Column(f"if sold{unit}", 30),
            Column(f"as scrap{unit}", 28),
        )
        writer.section("What they are worth", _NET if content.priced else _NO_PRICE)
        writer.table(columns, [_sum(section) for section in content.sections])
        left_out = [name for section in content.sections for name in section.sums.left_out]
        if left_out:
            writer.text(f"{_LEFT_OUT} {', '.join(left_out)}.")
        value = self._result.value
        if value is not None:
            writer.text(value.rounding, MUTED)

    def rules(self, *, where_they_fit: bool = False) -> None:
        """Place what the jurisdiction says of resale, once; if asked, only where this page has room for it.

        Nothing is placed where nothing is resold.
        """
        statements = self._result.compliance.resale
        if self._rules_placed or not statements or not self._content.offers:
            return
        writer = self._writer
        told = [(one.heading, one.text or "") for one in statements]
        if where_they_fit and _RULES_HEADING + writer.height_of_columns(told) > writer.flow.room:
            return
        self._rules_placed = True
        writer.section("Rules about resale")
        withheld = [one.heading for one in statements if one.text is None]
        told = [(one.heading, self._told(one)) for one in statements if one.text is not None]
        if withheld:
            told.append(("Confirm locally", f"No checked value for this day: {'; '.join(withheld)}."))
        writer.columns(told)

    def _told(self, one: Statement) -> str:
        return f"{one.text}{self.sources.note(one.source)}"

    def notes(self, notes: list[SheetNote]) -> None:
        """Place the whole texts that the condition sheets had no room for."""
        if not notes:
            return
        self._writer.section("Notes", "Whole texts of the condition sheets that had no room for them.")
        for one in notes:
            self._writer.long_text(f"Sheet {one.number}, {one.tag}. {one.label}: {one.text}")


def _sum(section: Section) -> Row:
    sums = section.sums
    some = f"of these {sums.count} in the sums" if section.sums.left_out else ""
    return (
        (section.title, Words(some, MUTED)),
        str(section.total.count),
        kg_in_words(section.total.mass_kg),
        "–" if sums.asked is None else money(sums.asked),
        "–" if sums.sold is None else sums.sold.text,
        "–" if sums.scrapped is None else sums.scrapped.text,
    )
