"""The waste streams, which are the same in every jurisdiction, from ``templates/waste-streams.json``."""

import json
from collections.abc import Mapping
from functools import cache

from intake.policy.resources import resource_text

LFP_DAMAGED = "lfp-damaged"
"""Key of the stream for lithium that is damaged or not known to be intact."""


@cache
def stream_titles() -> Mapping[str, str]:
    """Return the title of each waste stream by its key, in the order in which they are listed."""
    return {entry["key"]: entry["title"] for entry in _streams()}


def stream_in_words(key: str | None, *, none: str = "") -> str:
    """Return the title of a waste stream, ``none`` where there is no stream; an unknown key as it is."""
    return stream_titles().get(key, key) if key else none


def stream_named(text: str) -> str:
    """Return the key of the stream that a text names by its title or its key; any other text as it is."""
    wanted = text.strip().casefold()
    named = {title.casefold(): key for key, title in stream_titles().items()}
    return named.get(wanted, wanted if wanted in stream_titles() else text)


@cache
def stream_decisions() -> Mapping[str, str]:
    """Return who must still decide what of each waste stream, by its key."""
    return {entry["key"]: entry["decide"] for entry in _streams()}


@cache
def _streams() -> list[dict[str, str]]:
    return list(json.loads(resource_text("templates", "waste-streams.json"))["streams"])
