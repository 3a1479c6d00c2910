"""The list of what is graded for resale: sums, then the batteries section by section."""

from decimal import Decimal

from intake.model.result import BatchResult
from intake.report.drawing.blocks import Band, RowLook, line_of, place_row, side_by_side, stack, text_lines
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.fonts import Face
from intake.report.drawing.headed_rows import CONTINUED, SMALL, TEXT, Clauses
from intake.report.drawing.kept_together import with_currency_kept
from intake.report.drawing.marks import LineMark
from intake.report.drawing.palette import GREY, SLATE
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.typesetter import Style
from intake.report.resale.content import Offer, ResaleContent, Section
from intake.report.resale.sums import sums_table
from intake.report.resale.value import is_valued, net_in_words, net_table, net_told
from intake.report.resale.words import NOT_KNOWN, age_years, charge_in_words, evidence_in_few_words, money
from intake.report.words.batch_facts import batch_facts, meter_facts
from intake.report.words.battery import chemistry_in_words

_TITLE = Style(20, Face.BOLD, SLATE)
_LEAD = Style(9, Face.BOLD)
_TAG = Style(9.5, Face.BOLD)
_TEXT = Style(8)
_HEAD = Style(7.5, Face.BOLD, SLATE)
_FACT = Style(8.5)
_LABEL = Style(7.5, colour=GREY, line_factor=_FACT.leading / 7.5)
_LABEL_WIDTH, _GUTTER = 74.0, 16.0
_LOOK = RowLook(above=2.5, below=3, rule_width=0.4)
_TAG_WIDTH = 110.0
_CHEMISTRY, _EVIDENCE, _INTERVAL = 116.0, 306.0, 400.0
_CAPACITY, _CRANKING, _AGE, _CHARGE = 204.0, 238.0, 256.0, 389.0
"""Where figures end or their decimal points stand."""
_PRICE_FROM_RIGHT = 37.0
"""Where the decimal points of prices stand, from the right edge."""
_LEAST_GAP = 4.0
"""Between an interval and a price; a longer price stands on the line below."""
NOTHING = "No battery of this batch is graded for resale: there is nothing to offer and no condition sheet."
_NO_PRICES = "No value is shown: the workbook's Prices sheet holds no resale price."
_PRICES = (
    "Prices: the site's own resale price for each chemistry, from the workbook's Prices sheet, and their "
    "sums; chance and cost are not reckoned in."
)
_KEY = (
    "Age: at Received, in years. CCA: rated, in A. %: state of charge with its 95 % interval, as found; "
    "after a hold as it settles. Masses are weighed or estimated, as each condition sheet says; a battery "
    "without a mass is missing from the kilograms."
)


class ResaleList:
    """Sets and places the list."""

    def __init__(self, clauses: Clauses) -> None:
        self._clauses = clauses
        self._setter = clauses.setter
        self._width = clauses.width

    def place(self, flow: Flow, result: BatchResult, content: ResaleContent) -> None:
        """Place title, facts, sums and all sections; with nothing to resell it says so."""
        title = text_lines(self._setter, "Resale list", _TITLE, self._width)
        lead = text_lines(self._setter, _lead(result, content), _LEAD, self._width)
        flow.place(stack([*title, Block(3, ()), *lead]))
        flow.space(7)
        flow.place(self._facts(result))
        flow.space(8)
        if not content.offers:
            flow.place(stack(text_lines(self._setter, NOTHING, _LEAD, self._width)))
            return
        flow.place(sums_table(self._setter, content, self._width))
        flow.space(2)
        flow.place(stack(self._clauses.lines(_told(content), SMALL)))
        if is_valued(result, content):
            flow.space(6)
            flow.place(net_table(self._setter, result, content, self._width))
            flow.space(2)
            flow.place(stack(self._clauses.lines(net_told(result, content), SMALL)))
        for section in content.sections:
            self._section(flow, result, content, section)

    def _facts(self, result: BatchResult) -> Block:
        facts = (*batch_facts(result.batch), *meter_facts(result))
        half = (len(facts) + 1) // 2
        column = (self._width - _GUTTER) / 2
        blocks = []
        for x, some in ((0.0, facts[:half]), (column + _GUTTER, facts[half:])):
            rows = [
                side_by_side(
                    [
                        (0.0, line_of(_LABEL, (0.0, label))),
                        (
                            _LABEL_WIDTH,
                            stack(text_lines(self._setter, text, _FACT, column - _LABEL_WIDTH)),
                        ),
                    ]
                )
                for label, text in some
            ]
            blocks.append((x, stack(rows)))
        return side_by_side(blocks)

    def _section(self, flow: Flow, result: BatchResult, content: ResaleContent, section: Section) -> None:
        count = len(section.offers)
        self._clauses.section(flow, f"{section.title} ({count})", section.told)
        if not count:
            flow.place(stack(self._clauses.lines("No battery of this batch.", TEXT)))
            return
        flow.keep_with_next(stack([Block(3, ()), self._heads(content)]))
        title = self._clauses.lines(f"{section.title}, continued", CONTINUED)
        with flow.repeating(stack([*title, Block(2, ()), self._heads(content)])):
            for offer in section.offers:
                place_row(flow, [self._offer(result, content, offer)], look=_LOOK)

    def _heads(self, content: ResaleContent) -> Block:
        right = [(self._width, "Sheet")]
        if content.priced:
            right.append((self._width - _PRICE_FROM_RIGHT + 3, content.currency or "Price"))
        heads = line_of(
            _HEAD,
            (0.0, "Tag, position"),
            (_CHEMISTRY, "Chemistry"),
            (_CAPACITY - self._setter.width("Ah", _HEAD), "Ah"),
            (_CRANKING - self._setter.width("CCA", _HEAD), "CCA"),
            (_AGE - 6, "Age y"),
            (_EVIDENCE, "Evidence"),
            (_CHARGE - self._setter.width("%", _HEAD), "%"),
            (_INTERVAL, "95 %"),
            *((x - self._setter.width(text, _HEAD), text) for x, text in right),
        )
        line = LineMark(0, 2, self._width, 2, 0.9, SLATE)
        return stack([heads, Block(3, ((line, 0.0, 0.0),))])

    def _offer(self, result: BatchResult, content: ResaleContent, offer: Offer) -> Band:
        one, battery = offer.graded, offer.graded.battery
        tag = text_lines(self._setter, battery.tag, _TAG, _TAG_WIDTH)
        position = f"position {one_line(battery.position)}" if battery.position else "position not given"
        tag += text_lines(self._setter, position, SMALL, _TAG_WIDTH)
        value, interval = charge_in_words(one)
        age = age_years(battery.made, result.batch.received)
        texts = [
            (_CHEMISTRY, chemistry_in_words(battery.chemistry)),
            (self._before(_figure(battery.rated_capacity_ah), _CAPACITY), _figure(battery.rated_capacity_ah)),
            (self._before(_figure(battery.rated_cca_a), _CRANKING), _figure(battery.rated_cca_a)),
            (self._before(age, _AGE), age),
            (_EVIDENCE, evidence_in_few_words(one)),
            (_CHARGE - self._setter.width(value, _TEXT), value),
            (_INTERVAL, interval),
            (self._width - self._setter.width(str(offer.number), _TEXT), str(offer.number)),
        ]
        below = []
        if content.priced:
            price = NOT_KNOWN if offer.price is None else money(Decimal(offer.price))
            x = self._before(price, self._width - _PRICE_FROM_RIGHT)
            if x >= _INTERVAL + self._setter.width(interval, _TEXT) + _LEAST_GAP:
                texts.append((x, price))
            else:
                below.append(f"price {price}")
            below.append(net_in_words(result, one))
        lines = [line_of(_TEXT, *texts)]
        told = "; ".join(text for text in below if text)
        if told:
            lines += self._clauses.lines(with_currency_kept(told, content.currency), SMALL, x=_CHEMISTRY)
        return [(0.0, tag), (0.0, lines)]

    def _before(self, figure: str, point: float) -> float:
        return point - self._setter.width(figure.partition(".")[0], _TEXT)


def _figure(value: float | None) -> str:
    return NOT_KNOWN if value is None else f"{value:g}"


def _told(content: ResaleContent) -> str:
    return f"{_PRICES if content.priced else _NO_PRICES} {_KEY}"


def _lead(result: BatchResult, content: ResaleContent) -> str:
    count, offered = len(result.graded), len(content.offers)
    return (
        f"{offered} of {count} {'battery' if count == 1 else 'batteries'}. Used, not proven new. "
        "The yard decides on any sale under local rules."
    )
