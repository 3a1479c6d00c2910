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
    document = json.loads(resource_text("templates", "waste-streams.json"))
    return {entry["key"]: entry["title"] for entry in document["streams"]}
