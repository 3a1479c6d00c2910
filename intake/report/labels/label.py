"""One battery's label as marks from its own upper left corner, and what is written on it."""

from collections.abc import Iterator
from datetime import date

from intake.model.battery import Battery, Chemistry
from intake.model.condition import Condition
from intake.model.paper import Paper
from intake.model.result import GradedBattery
from intake.model.verdict import TESTED, Evidence, Grade, MissingTest
from intake.report.drawing.fonts import Face
from intake.report.drawing.grade_marks import grade_mark
from intake.report.drawing.marks import Mark
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.typesetter import NO_BREAK, Typesetter
from intake.report.labels.codes import BLACK, Box, bars_mark, qr_mark
from intake.report.labels.handling import strip_marks, word_marks
from intake.report.labels.stock import WITH_BARS, WITHOUT_BARS
from intake.report.labels.text import SetText, fit_lines, fit_tag, fit_words, text_marks
from intake.report.words.actions import (
    Action,
    action_for,
    cleans_first,
    levels,
    looks_again,
    mends_first,
    temperature_first,
)
from intake.report.words.battery import kind_lines
from intake.report.words.wording import load_wording

NOT_TRANSPORT = "not a transport label"
_LARGEST_TAG, _LARGEST_GRADE, _LARGEST_FACTS = 30.0, 20.0, 8.5
_LEAST_FACTS = 8.0
"""What has too little room at this size leaves out its least needed parts first."""
_LEAST_POSITION = 24
"""Characters to which a position is shortened."""
_SEPARATOR = f"{NO_BREAK}· "
_GOES_ON = "… see workbook"
_READABLE = 11.5
"""Points at which capitals are 2.9 mm high and just read at two metres."""
_MARK_SHARE, _AFTER_MARK = 0.38, 5.0
"""Radius of the grade's mark in parts of its box's height, and points behind it."""
_WORD_SHARE = 0.41
"""Of two lines, the part of the height that the grade's word has over the next step."""
_HEADLINES = {
    Action.APART: "SET APART",
    Action.MEND: "ASK THE OFFICE",
    Action.READ: "READ AGAIN",
    Action.CHARGE: "CHARGE, THEN TEST",
    Action.RECOVER: "RECOVER",
    Action.STRENGTH: "TEST STRENGTH",
    Action.SELL: "TESTED",
}
"""The next step in large type; recycling is said by the grade itself."""
_LOOK_AGAIN = "SET APART, LOOK AGAIN"
_CLEAN = {Action.READ: "CLEAN, READ AGAIN", Action.CHARGE: "CLEAN, THEN CHARGE"}
"""The same for corroded terminals."""
_LITHIUM, _UNKNOWN, _HOT = "LITHIUM", "NOT IDENTIFIED", "HOT, SET APART"
"""What must not lie among lead, and what nobody touches yet."""
_SHORTER = {
    f"{_LITHIUM}, SET APART": f"{_LITHIUM}, APART",
    f"{_UNKNOWN}, SET APART": _UNKNOWN,
    _CLEAN[Action.READ]: "CLEAN, READ",
    _CLEAN[Action.CHARGE]: "CLEAN, CHARGE",
    _LOOK_AGAIN: _HEADLINES[Action.APART],
    _HEADLINES[Action.CHARGE]: "CHARGE, TEST",
    _HEADLINES[Action.MEND]: "ASK OFFICE",
}
"""The same step in fewer words, for a label on which the whole would be too small."""


def label_marks(
    setter: Typesetter, one: GradedBattery, batch: str, paper: Paper, *, day: date, twin: bool
) -> list[Mark]:
    """Return everything on one label, texts first.

    ``day``: the last one that is written of a reading in the batch; ``twin``: other rows have the same tag.
    """
    condition = one.condition
    coded = f"{batch}/{one.battery.tag}"
    places = WITH_BARS[paper]
    bars = bars_mark(coded, places.bars) if places.bars else None
    if bars is None:
        places = WITHOUT_BARS[paper]
    intact = condition is Condition.INTACT
    tag, grade, tag_low, grade_high, facts = (
        _widened(box, places.strip) if intact else box
        for box in (
            places.tag,
            places.grade,
            places.tag_low,
            places.grade_high,
            places.facts_alone if intact else places.facts,
        )
    )
    said = _on_one_line(setter, one, grade)
    if said is None:
        tag, said = tag_low, _on_two_lines(setter, one, grade_high)
    marks: list[Mark] = [
        *text_marks(fit_tag(setter, tag_in_words(one.battery, twin=twin), tag, largest=_LARGEST_TAG), tag),
        *said,
        *text_marks(_facts(setter, one, batch, day, facts), facts),
        *word_marks(setter, condition, places.handling),
        *strip_marks(condition, places.strip),
        qr_mark(coded, places.qr),
    ]
    return marks if bars is None else [*marks, bars]


def _widened(box: Box, strip: Box) -> Box:
    """Return a box that takes the strip's place as well, where no strip is drawn."""
    return Box(strip.x, box.y, box.width + box.x - strip.x, box.height)


def _on_one_line(setter: Typesetter, one: GradedBattery, box: Box) -> list[Mark] | None:
    """Return mark, grade and next step in one type; None where they come out too small for it."""
    mark, beside = _marked(one, box)
    apart = _HEADLINES[Action.APART]
    told = headline(one).replace(apart, apart.replace(" ", NO_BREAK))
    both = fit_words(setter, told, beside, largest=_LARGEST_GRADE)
    if both.style.size < _READABLE:
        return None
    return [*text_marks(both, beside), *mark]


def _on_two_lines(setter: Typesetter, one: GradedBattery, box: Box) -> list[Mark]:
    """Return the mark, and beside it the grade over the next step, which is the larger."""
    mark, beside = _marked(one, box)
    height = _WORD_SHARE * beside.height
    above = Box(beside.x, beside.y, beside.width, height)
    below = Box(beside.x, beside.y + height, beside.width, beside.height - height)
    told = _step(one)
    name = load_wording().grades[one.verdict.grade].short
    word = fit_words(setter, f"{name}:" if told else name, above, largest=_LARGEST_GRADE)
    step = fit_words(setter, told, below, largest=_LARGEST_GRADE)
    if step.style.size < _READABLE:
        step = fit_words(setter, _SHORTER.get(told, told), below, largest=_LARGEST_GRADE)
    return [*text_marks(word, above), *text_marks(step, below), *mark]


def _marked(one: GradedBattery, box: Box) -> tuple[tuple[Mark, ...], Box]:
    """Return the grade's mark at the left of a box, and the room beside it."""
    radius = _MARK_SHARE * box.height
    indent = 2 * radius + _AFTER_MARK
    mark = grade_mark(one.verdict.grade, box.x + radius + 1, box.y + box.height / 2, radius, ink=BLACK)
    return mark, Box(box.x + indent, box.y, box.width - indent, box.height)


def headline(one: GradedBattery) -> str:
    """Return the grade's word, and the next step in capitals where there is one."""
    word = load_wording().grades[one.verdict.grade].short
    step = _step(one)
    return f"{word}: {step}" if step else word


def _step(one: GradedBattery) -> str:
    """Return the next step in capitals, empty where the grade tells it."""
    if looks_again(one):
        return _LOOK_AGAIN
    if one.is_hot:
        return _HOT
    action, refusal = action_for(one), temperature_first(one)
    if refusal is not None and action in (Action.READ, Action.STRENGTH):
        return "COOL FIRST" if refusal.too_warm else "WARM FIRST"
    if action is Action.RECOVER and mends_first(one):
        return "MEND TERMINAL"
    if action is Action.STRENGTH and one.verdict.missing_test is not MissingTest.LOAD_OR_CRANKING:
        return "TEST CAPACITY"
    if action in (Action.RECYCLE, Action.MEND) and one.battery.under_recall:
        return "UNDER RECALL"
    if kind := _not_lead(one):
        return f"{kind}, {_HEADLINES[action]}" if action is Action.APART else kind
    if action is Action.RECOVER and levels(one):
        return "CHARGE, LEVEL"
    return (_CLEAN if cleans_first(one) else _HEADLINES).get(action, "")


def _not_lead(one: GradedBattery) -> str:
    """Name what would otherwise end among lead, whose heap is sorted by big words alone; else empty."""
    if one.is_unidentified:
        return _UNKNOWN
    lithium = one.battery.chemistry is Chemistry.LFP
    return _LITHIUM if lithium and one.verdict.grade is Grade.RECYCLE else ""


def tag_in_words(battery: Battery, *, twin: bool) -> str:
    """Return the tag; with its row where other rows have it too, and the row alone where there is none."""
    if battery.tag == f"row {battery.row}":
        return f"no tag, row {battery.row}"
    return f"{battery.tag} (row {battery.row})" if twin else battery.tag


def _facts(setter: Typesetter, one: GradedBattery, batch: str, day: date, box: Box) -> SetText:
    """Set the small print, the least needed parts left out where a label is too small for all."""
    for text in _candidates(one, batch, day):
        found = fit_lines(setter, text, box, Face.REGULAR, _LARGEST_FACTS)
        if found.style.size >= _LEAST_FACTS:
            break
    return found


def _candidates(one: GradedBattery, batch: str, day: date) -> Iterator[str]:
    """Yield the small print from all of it down to what no label goes without."""
    kind, size = kind_lines(one.battery)
    when = when_in_words(one, day)
    position = one_line(one.battery.position or "")
    short = position
    if len(position) > _LEAST_POSITION:
        short = f"{position[:_LEAST_POSITION].rstrip()}{_GOES_ON}"
    tested = one.verdict.evidence in TESTED
    for parts in (
        (kind, size, when, position),
        (kind, size, when, short),
        (kind, size, when),
        (kind, when) if tested else (kind, size),
        (when,) if tested else (kind,),
    ):
        told = (*parts, batch, NOT_TRANSPORT.replace(" ", NO_BREAK))
        yield _SEPARATOR.join(part for part in told if part)
    yield _SEPARATOR.join((kind, NOT_TRANSPORT.replace(" ", NO_BREAK)))


def when_in_words(one: GradedBattery, day: date) -> str:
    """Return what was tested, or that it was read, and on which day."""
    match one.verdict.evidence:
        case Evidence.CAPACITY:
            return f"capacity tested {day}"
        case Evidence.STRENGTH:
            test = "cranking" if one.battery.measured_cca_a is not None else "load"
            return f"{test} tested {day}"
        case _:
            return f"read {day}"
