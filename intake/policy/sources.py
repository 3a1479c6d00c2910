"""The published texts that statements, notes and plan words name, from ``templates/sources.json``."""

import json
from collections.abc import Mapping
from functools import cache
from typing import Any, NamedTuple

from intake.policy.resources import resource_text


class Source(NamedTuple):
    """A published text. ``citation`` is title, section and edition as printed."""

    citation: str
    evidence: str
    """``authority``: the law text, an official letter or guidance; ``secondary``: a report about the rule."""

    @property
    def whole(self) -> bool:
        """Whether all of the part that is cited was read, not an excerpt."""
        return not self.citation.endswith("excerpt)")


@cache
def load_sources() -> Mapping[str, Source]:
    """Return every shipped source by its id."""
    return sources_of(json.loads(resource_text("templates", "sources.json"))["sources"])


def sources_of(entries: Mapping[str, Mapping[str, Any]]) -> dict[str, Source]:
    """Return the sources of a document that keeps to ``schemas/sources.schema.json``, by their ids."""
    return {key: Source(entry["citation"], entry["evidence"]) for key, entry in entries.items()}
