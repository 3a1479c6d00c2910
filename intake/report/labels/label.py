"""One battery's label as marks from its own upper left corner, and what is written on it."""

from intake.model.battery import Battery
from intake.model.paper import Paper
from intake.model.result import GradedBattery
from intake.report.drawing.fonts import Face
from intake.report.drawing.marks import Mark
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.typesetter import NO_BREAK, Typesetter
from intake.report.labels.codes import Box, bars_mark, qr_mark
from intake.report.labels.handling import strip_marks, word_marks
from intake.report.labels.stock import WITH_BARS, WITHOUT_BARS
from intake.report.labels.text import SetText, fit_lines, fit_tag, fit_words, text_marks
from intake.report.words.battery import chemistry_in_words
from intake.report.words.wording import load_wording

NOT_TRANSPORT = "not a transport label"
_LARGEST_TAG, _LARGEST_GRADE, _LARGEST_FACTS = 30.0, 20.0, 7.0
_LEAST_FACTS = 4.5
_LEAST_POSITION = 24
"""The position has no limit of its own: where the small print would come out smaller than this, it is
shortened, though never below so many signs."""
_SEPARATOR = f"{NO_BREAK}· "
_GOES_ON = "… see workbook"


def label_marks(
    setter: Typesetter, one: GradedBattery, batch: str, paper: Paper, *, twin: bool
) -> list[Mark]:
    """Return everything on one label, texts first. ``twin``: other rows have the same tag."""
    verdict = one.verdict
    coded = f"{batch}/{one.battery.tag}"
    places = WITH_BARS[paper]
    bars = bars_mark(coded, places.bars) if places.bars else None
    if bars is None:
        places = WITHOUT_BARS[paper]
    grade = load_wording().grades[verdict.grade].title
    word, frame = word_marks(setter, verdict.handling, places.handling)
    marks: list[Mark] = [
        *text_marks(
            fit_tag(setter, tag_in_words(one.battery, twin=twin), places.tag, largest=_LARGEST_TAG),
            places.tag,
        ),
        *text_marks(fit_words(setter, grade, places.grade, largest=_LARGEST_GRADE), places.grade),
        word,
        *text_marks(_facts(setter, one, batch, places.facts), places.facts),
        frame,
        *strip_marks(verdict.handling, places.strip),
        qr_mark(coded, places.qr),
    ]
    return marks if bars is None else [*marks, bars]


def tag_in_words(battery: Battery, *, twin: bool) -> str:
    """Return the tag; with its row where other rows have it too, and the row alone where there is none."""
    if battery.tag == f"row {battery.row}":
        return f"no tag, row {battery.row}"
    return f"{battery.tag} (row {battery.row})" if twin else battery.tag


def _facts(setter: Typesetter, one: GradedBattery, batch: str, box: Box) -> SetText:
    """Set the small print, the position shortened where it is too long for a label."""
    position = one_line(one.battery.position or "")
    kept = len(position)
    while True:
        shown = position if kept == len(position) else f"{position[:kept].rstrip()}{_GOES_ON}"
        found = fit_lines(setter, _facts_text(one, batch, shown), box, Face.REGULAR, _LARGEST_FACTS)
        if found.style.size >= _LEAST_FACTS or kept <= _LEAST_POSITION:
            return found
        kept = max(_LEAST_POSITION, kept * 4 // 5)


def _facts_text(one: GradedBattery, batch: str, position: str) -> str:
    parts = [
        chemistry_in_words(one.battery.chemistry),
        load_wording().evidence[one.verdict.evidence],
        position,
        f"batch{NO_BREAK}{batch}",
        NOT_TRANSPORT.replace(" ", NO_BREAK),
    ]
    return _SEPARATOR.join(part for part in parts if part)
