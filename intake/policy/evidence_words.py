"""What a grade rests on, in words, from ``templates/wording.json``."""

import json
from collections.abc import Mapping
from functools import cache

from intake.model.verdict import Evidence
from intake.policy.resources import resource_text


@cache
def evidence_words() -> Mapping[Evidence, str]:
    """Return each kind of evidence in a few words."""
    named = json.loads(resource_text("templates", "wording.json"))["evidence"]
    return {one: named[one.value] for one in Evidence}
