"""Sources as numbered notes: a number beside what rests on them, each once on the last page."""

import re
from collections.abc import Iterable

_BETWEEN = re.compile(r"(?:(?<=excerpt\))|(?<=whole section\))|(?<=whole list\))); ")
"""Citations stand in one text, each ending in its kind."""
_PROPOSAL = "proposal of this tool"
_READ_FROM = ", read from: "
_NOT_OPENED = ("common practice", "lines marked (common practice)", "from memory", "provisional", "assumed")
_AS_ENTERED = "Batch sheet"
WEAK, PROPOSED = "*", "†"
CONFIRM = "confirm locally"
"""Printed in place of a value that was not checked or is not in force."""
KEY = (
    f"{WEAK} common practice, provisional or from memory: no source opened. "
    f"{PROPOSED} proposed by this program."
)


class Sources:
    """Numbers the sources of one document in the order in which they are first used."""

    def __init__(self) -> None:
        self._numbers: dict[str, int] = {}

    def note(self, source: str, *, weak: bool = False) -> str:
        """Return what follows a text that rests on ``source``, a blank before it; empty for none.

        ``weak`` marks a figure that is provisional or from memory.
        """
        return self.notes([(source, weak)])

    def notes(self, sources: Iterable[tuple[str, bool]]) -> str:
        """Return the same for a text that rests on several, each with whether it is weak."""
        told = dict.fromkeys(filter(None, (self._told(source, weak=weak) for source, weak in sources)))
        return f" [{', '.join(told)}]" if told else ""

    def _told(self, source: str, *, weak: bool) -> str:
        """Return the numbers of one text of citations with the mark that they call for."""
        source = " ".join(source.split())
        if not source or source.startswith(_AS_ENTERED):
            return ""
        proposed = source.startswith(_PROPOSAL)
        if proposed:
            source = source.removeprefix(_PROPOSAL).removeprefix(_READ_FROM)
        marks = [self._number(one) for one in _BETWEEN.split(source) if one]
        told = ", ".join(dict.fromkeys(mark for mark in marks if mark))
        return told + (PROPOSED if proposed else WEAK if weak and WEAK not in told else "")

    def listed(self) -> list[tuple[str, str]]:
        """Return number and source of every note."""
        return [(str(number), source) for source, number in self._numbers.items()]

    def _number(self, source: str) -> str:
        lowered = source.lower()
        if lowered.startswith(_NOT_OPENED[:2]):
            return WEAK
        number = self._numbers.setdefault(source, len(self._numbers) + 1)
        return f"{number}{WEAK}" if any(word in lowered for word in _NOT_OPENED) else str(number)
