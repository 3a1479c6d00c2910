"""The rules of the grading, as ``intake explain --rules`` prints them."""

import json
from collections.abc import Iterator

from intake.model.rules import Rule


def catalogue_lines(*, as_json: bool) -> Iterator[str]:
    """Yield every rule in the order of a trace: three lines each, or one line of JSON."""
    for rule in Rule:
        if as_json:
            yield json.dumps(
                {
                    "rule": rule.id,
                    "title": rule.title,
                    "meaning": rule.meaning,
                    "remedy": rule.remedy.value,
                    "hides_charge": rule.hides_charge,
                }
            )
        else:
            hidden = "; the voltage then says nothing about the charge" if rule.hides_charge else ""
            yield f"{rule.id}: {rule.title}"
            yield f"    {rule.meaning}"
            yield f"    what it leaves to do: {rule.remedy.value}{hidden}"
