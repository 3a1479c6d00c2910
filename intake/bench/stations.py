"""Charging stations from a short text such as ``4``, ``4x10A`` or ``2x10A:lead,1x20A:LFP:apart``."""

import re
from dataclasses import replace

from intake.model.battery import LEAD_ACID, Chemistry
from intake.model.plan import Station

_CHARGEABLE = LEAD_ACID | {Chemistry.LFP}
_WORDS = {
    "all": _CHARGEABLE,
    "lead": LEAD_ACID,
    **{one.value.casefold().replace(" ", "-"): frozenset({one}) for one in _CHARGEABLE},
}
_APART = "apart"
_GROUP = re.compile(r"(?P<count>\d{1,3})(?:x(?P<current>\d{1,4}(?:\.\d{1,3})?)a?)?(?P<words>(?::[a-z+-]+)*)")
_MOST = 200


class StationsRefused(ValueError):
    """The text names no stations. ``str()`` says what was read and what is expected."""


def stations_from(text: str, *, usual_current_a: float) -> tuple[Station, ...]:
    """Return the stations a text describes, named S1, S2 and so on in its order.

    Each group between commas is ``COUNTxCURRENT A`` with optional words after colons: ``all``,
    ``lead`` or a chemistry, and ``apart`` for a station in the marked place. ``usual_current_a`` (A)
    counts where no current is given. Where no station is apart, the first that takes LFP is.

    Raises
    ------
    StationsRefused
        A group cannot be read, or there are none or too many.
    """
    found: list[Station] = []
    for group in text.casefold().replace(" ", "").split(","):
        found += _group(group, len(found), usual_current_a)
    if not 0 < len(found) <= _MOST:
        raise StationsRefused(f"{len(found)} stations were read; expected 1 to {_MOST}.")
    if any(one.apart for one in found):
        return tuple(found)
    marked = next((place for place, one in enumerate(found) if Chemistry.LFP in one.chemistries), None)
    return tuple(replace(one, apart=place == marked) for place, one in enumerate(found))


def _group(text: str, already: int, usual_current_a: float) -> list[Station]:
    match = _GROUP.fullmatch(text)
    current_a = float(match["current"] or usual_current_a) if match else 0.0
    words = [word for word in match["words"].split(":") if word] if match else []
    unknown = [word for word in words if word not in _WORDS and word != _APART]
    if match is None or current_a <= 0 or unknown:
        known = ", ".join((*_WORDS, _APART))
        raise StationsRefused(
            f"'{text}' was read as a group of stations; expected a number like 4, or 4x10A, or "
            f"2x10A:lead with words of: {known}."
        )
    named = [_WORDS[word] for word in words if word != _APART]
    takes = frozenset[Chemistry]().union(*named) if named else _CHARGEABLE
    return [
        Station(f"S{already + place}", current_a, takes, _APART in words)
        for place in range(1, int(match["count"]) + 1)
    ]
