"""How to handle what is on this pallet: the notes that apply, and to which batteries."""

from collections.abc import Callable, Sequence

from intake.compliance.dated_statements import source_in_words
from intake.compliance.named_batteries import conditions_in_words, counts_in_words
from intake.compliance.pallet import VALVE_REGULATED, Item
from intake.model.compliance import HandlingNote
from intake.model.condition import UNCLEAR, Condition
from intake.policy.handling_texts import NoteLine, NoteWording, Wording
from intake.policy.jurisdictions import Standing

_UNSOURCED = "lines marked (common practice): no source opened"


def handling_notes(pallet: Sequence[Item], wording: Wording) -> tuple[HandlingNote, ...]:
    """Return the notes that concern at least one battery, in the order of the wording."""
    chosen = ((note, [item for item in pallet if _CONCERNS[note.key](item)]) for note in wording.notes)
    return tuple(_note(note, items, wording.deference) for note, items in chosen if items)


def _note(note: NoteWording, items: Sequence[Item], deference: str) -> HandlingNote:
    words = (counts_in_words(items), conditions_in_words(items))
    return HandlingNote(
        key=note.key,
        title=note.title,
        applies_to=", ".join(one for one in words if one),
        lines=(*(_line_in_words(line) for line in note.lines), deference),
        source=_sources_in_words(note.lines),
    )


def _line_in_words(line: NoteLine) -> str:
    return line.text if line.sources else f"{line.text} ({Standing.COMMON_PRACTICE.value})"


def _sources_in_words(lines: Sequence[NoteLine]) -> str:
    """Return each citation once, in the order of the lines, and what replaces the missing ones."""
    cited = dict.fromkeys(source for line in lines for source in line.sources)
    parts = [source_in_words(Standing.OPENED, cited)] if cited else []
    if not all(line.sources for line in lines):
        parts.append(_UNSOURCED)
    return "; ".join(parts)


def _lead_acid(item: Item) -> bool:
    return item.lead_acid


def _any(_: Item) -> bool:
    return True


def _acid_possible(item: Item) -> bool:
    return item.lead_acid or item.unidentified


def _intact(item: Item) -> bool:
    return item.condition is Condition.INTACT


def _valve_regulated(item: Item) -> bool:
    return item.battery.chemistry in VALVE_REGULATED


_CONCERNS: dict[str, Callable[[Item], bool]] = {
    "lead-acid-intact": lambda item: item.lead_acid and not _valve_regulated(item) and _intact(item),
    "valve-regulated": lambda item: _valve_regulated(item) and _intact(item),
    "lead-acid-dented": lambda item: item.dented,
    "lead-acid-damaged": lambda item: item.lead_acid and not _intact(item) and not item.dented,
    "lfp-intact": lambda item: item.lithium and _intact(item),
    "lfp-suspect": lambda item: item.lithium and item.condition in UNCLEAR,
    "lfp-damaged": lambda item: item.lithium and item.condition is Condition.DAMAGED,
    "unknown-chemistry": lambda item: item.unidentified,
    "lifting": _any,
    "charging-area": _lead_acid,
    "eyes-and-skin": _acid_possible,
    "acid-spill": _acid_possible,
    "fire": _any,
}
"""Which batteries each note is for. The schema of the wording allows these keys and no other."""
