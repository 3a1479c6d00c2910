"""One battery's label as marks from its own upper left corner, and what is written on it."""

from collections.abc import Iterator

from intake.model.battery import Batch, Battery
from intake.model.condition import Condition
from intake.model.paper import Paper
from intake.model.result import GradedBattery
from intake.model.verdict import TESTED, Evidence
from intake.report.drawing.fonts import Face
from intake.report.drawing.grade_marks import grade_mark
from intake.report.drawing.marks import Mark
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.typesetter import NO_BREAK, Typesetter
from intake.report.labels.codes import Box, bars_mark, qr_mark
from intake.report.labels.handling import strip_marks, word_marks
from intake.report.labels.stock import WITH_BARS, WITHOUT_BARS
from intake.report.labels.text import SetText, fit_lines, fit_tag, fit_words, text_marks
from intake.report.words.actions import Action, action_for, looks_again
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
_MARK_SHARE, _AFTER_MARK = 0.38, 4.0
"""Radius of the grade's mark in parts of its line's height, and points behind it."""
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


def label_marks(
    setter: Typesetter, one: GradedBattery, batch: Batch, paper: Paper, *, twin: bool
) -> list[Mark]:
    """Return everything on one label, texts first. ``twin``: other rows have the same tag."""
    condition = one.condition
    coded = f"{batch.batch}/{one.battery.tag}"
    places = WITH_BARS[paper]
    bars = bars_mark(coded, places.bars) if places.bars else None
    if bars is None:
        places = WITHOUT_BARS[paper]
    intact = condition is Condition.INTACT
    tag, grade, facts = (
        _widened(box, places.strip) if intact else box
        for box in (places.tag, places.grade, places.facts_alone if intact else places.facts)
    )
    radius = _MARK_SHARE * grade.height
    indent = 2 * radius + _AFTER_MARK
    beside = Box(grade.x + indent, grade.y, grade.width - indent, grade.height)
    middle = grade.y + grade.height / 2
    marks: list[Mark] = [
        *text_marks(fit_tag(setter, tag_in_words(one.battery, twin=twin), tag, largest=_LARGEST_TAG), tag),
        *text_marks(_headline(setter, one, beside), beside),
        *text_marks(_facts(setter, one, batch, facts), facts),
        *word_marks(setter, condition, places.handling),
        *grade_mark(one.verdict.grade, grade.x + radius + 1, middle, radius),
        *strip_marks(condition, places.strip),
        qr_mark(coded, places.qr),
    ]
    return marks if bars is None else [*marks, bars]


def _widened(box: Box, strip: Box) -> Box:
    """Return a box that takes the strip's place as well, where no strip is drawn."""
    return Box(strip.x, box.y, box.width + box.x - strip.x, box.height)


def _headline(setter: Typesetter, one: GradedBattery, box: Box) -> SetText:
    """Set grade and next step; the next step alone, beside the grade's mark, where both are too small."""
    both = fit_words(setter, headline(one), box, largest=_LARGEST_GRADE)
    step = _step(one)
    if both.style.size >= _READABLE or not step:
        return both
    return fit_words(setter, step, box, largest=_LARGEST_GRADE)


def headline(one: GradedBattery) -> str:
    """Return the grade's word, and the next step in capitals where there is one."""
    word = load_wording().grades[one.verdict.grade].short
    step = _step(one)
    return f"{word}: {step}" if step else word


def _step(one: GradedBattery) -> str:
    """Return the next step in capitals, empty where the grade tells it."""
    if looks_again(one):
        return "SET APART, LOOK AGAIN"
    action = action_for(one)
    if action is Action.STRENGTH and one.verdict.evidence in TESTED:
        return "TEST CAPACITY"
    return _HEADLINES.get(action, "")


def tag_in_words(battery: Battery, *, twin: bool) -> str:
    """Return the tag; with its row where other rows have it too, and the row alone where there is none."""
    if battery.tag == f"row {battery.row}":
        return f"no tag, row {battery.row}"
    return f"{battery.tag} (row {battery.row})" if twin else battery.tag


def _facts(setter: Typesetter, one: GradedBattery, batch: Batch, box: Box) -> SetText:
    """Set the small print, the least needed parts left out where a label is too small for all."""
    for text in _candidates(one, batch):
        found = fit_lines(setter, text, box, Face.REGULAR, _LARGEST_FACTS)
        if found.style.size >= _LEAST_FACTS:
            break
    return found


def _candidates(one: GradedBattery, batch: Batch) -> Iterator[str]:
    """Yield the small print from all of it down to what no label goes without."""
    kind, size = kind_lines(one.battery)
    when = when_in_words(one, batch)
    position = one_line(one.battery.position or "")
    short = position
    if len(position) > _LEAST_POSITION:
        short = f"{position[:_LEAST_POSITION].rstrip()}{_GOES_ON}"
    tested = one.verdict.evidence in TESTED
    for parts in (
        (kind, size, when, position),
        (kind, size, when, short),
        (kind, when, short) if tested else (kind, size, short),
        (kind, when) if tested else (kind, short),
        (when,) if tested else (kind,),
    ):
        told = (*parts, batch.batch, NOT_TRANSPORT.replace(" ", NO_BREAK))
        yield _SEPARATOR.join(part for part in told if part)
    yield _SEPARATOR.join((kind, NOT_TRANSPORT.replace(" ", NO_BREAK)))


def when_in_words(one: GradedBattery, batch: Batch) -> str:
    """Return what was tested, or that it was read, and on which day."""
    day = batch.last_written_day
    match one.verdict.evidence:
        case Evidence.CAPACITY:
            return f"capacity tested {day}"
        case Evidence.STRENGTH:
            test = "cranking" if one.battery.measured_cca_a is not None else "load"
            return f"{test} tested {day}"
        case _:
            return f"read {day}"
