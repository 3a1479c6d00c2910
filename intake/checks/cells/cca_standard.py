"""A cranking current with its standard beside it, as in ``680 EN``."""

import re
from typing import NamedTuple

from intake.checks.cells.cell_text import plain
from intake.model.raw_workbook import RawCell
from intake.policy.dictionary import load_dictionary

_BESIDE = re.compile(
    r"(?P<before>[A-Za-z]+)?[ :]*"
    r"(?P<figure>[^A-Za-z()]*[0-9][^A-Za-z()]*(A(mps?)?)?)"
    r"[ (]*(?P<after>[A-Za-z]+)?\)?",
    re.IGNORECASE,
)
_NO_STANDARD = ("cca", "a", "amp", "amps")


class SplitCurrent(NamedTuple):
    """The cell with its figure alone, and the standard that stood beside it."""

    cell: RawCell
    standard: str


def split_standard(cell: RawCell) -> SplitCurrent | None:
    """Return figure and standard of a cell that holds both; None where no standard stands beside a figure."""
    if not isinstance(cell.value, str):
        return None
    column = next(one for one in load_dictionary().sheets["batteries"].columns if one.key == "cca_standard")
    known = {choice.casefold(): choice for choice in column.choices}
    match = _BESIDE.fullmatch(plain(cell.value))
    if match is None:
        return None
    words = [word.casefold() for word in (match["before"], match["after"]) if word]
    standards = [known[word] for word in words if word in known]
    if len(standards) != 1 or any(word not in known and word not in _NO_STANDARD for word in words):
        return None
    return SplitCurrent(cell._replace(value=match["figure"].strip()), standards[0])
