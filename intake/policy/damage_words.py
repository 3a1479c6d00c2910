"""Words of a free note that speak of physical damage, from ``templates/damage-words.json``."""

import json
import re
from collections.abc import Iterable
from functools import cache

from intake.policy.resources import resource_text


def damage_words(note: str) -> tuple[str, ...]:
    """Return the words of a note that speak of damage, each once; one that is denied is left out.

    English, and chosen by the project (common practice). A word too many costs a look at the battery,
    one too few may cost more: a denial counts only right beside its word, as in "no leak", "not dented"
    or "damage: none", and a harmless turn of phrase only where it is the whole text between two
    stops: "dropped off by customer", but not "dropped off by customer on the way in".
    """
    words, denied, harmless, clauses = _patterns()
    note = "".join(" " if clauses.fullmatch(one.strip()) else one for one in _STOPS.split(note))
    note = harmless.sub(" ", note)
    found = (one for one in words.finditer(note) if not denied.fullmatch(_clause(note, one)))
    return tuple(dict.fromkeys(one.group().casefold() for one in found))


def in_quotes(words: Iterable[str]) -> str:
    """Return words of a note as a message quotes them."""
    return " and ".join(f'"{word}"' for word in words)


_STOPS = re.compile(r"([.,;:!?\n])")


def _clause(note: str, word: re.Match[str]) -> str:
    """Return the word with the text around it up to a full stop, comma or the like."""
    before = re.split(r"[.,;!?\n]", note[: word.start()])[-1]
    after = re.split(r"[.,;!?\n]", note[word.end() :])[0]
    return f"{before}\0{after}"


@cache
def _patterns() -> tuple[re.Pattern[str], re.Pattern[str], re.Pattern[str], re.Pattern[str]]:
    """Return what finds a word, what denies one, what is harmless anywhere, and what as a whole clause."""
    document = json.loads(resource_text("templates", "damage-words.json"))
    words, denied, between, after, harmless = (
        "|".join(map(re.escape, document[key]))
        for key in ("words", "denied_by", "between", "denied_after", "harmless")
    )
    clauses = "|".join(map(_in_turn, document["harmless_clauses"]))
    before_it = rf".*\b(?:{denied})\b(?:\s+(?:{between}))*\s+\0.*"
    after_it = rf".*\0\s*[:=-]?\s*(?:{after})\b.*"
    flags = re.IGNORECASE | re.DOTALL
    return (
        re.compile(rf"\b(?:{words})\b", flags),
        re.compile(f"{before_it}|{after_it}", flags),
        re.compile(rf"\b(?:{harmless})\b", flags),
        re.compile(clauses, flags),
    )


def _in_turn(parts: Iterable[Iterable[str]]) -> str:
    """Return the pattern of a clause: one phrase of each part in turn, none where a part has an empty one."""
    first, *others = ([re.escape(one) for one in part] for part in parts)
    then = (rf"(?:\s+(?:{'|'.join(filter(None, one))})){'?' if '' in one else ''}" for one in others)
    return f"(?:{'|'.join(first)}){''.join(then)}"
