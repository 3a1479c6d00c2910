"""The tables of DEVELOPERS.md that are made from the tests. ``python -m tests.guide`` writes them anew."""

from collections.abc import Callable, Mapping
from pathlib import Path

from tests.external.table import external_table
from tests.properties.sensitivity import sensitivity_table
from tests.rules_table import rules_table

GUIDE = Path(__file__).parents[1] / "DEVELOPERS.md"
TABLES: Mapping[str, Callable[[], str]] = {
    "rules": rules_table,
    "external checks": external_table,
    "sensitivity": sensitivity_table,
}


def around(name: str, text: str) -> tuple[str, str, str]:
    """Split the guide into the text before, in and after one of its tables."""
    start, end = f"<!-- made by tests.guide: {name} -->\n", "\n<!-- end -->"
    before, after = text.split(start)
    inside, rest = after.split(end, maxsplit=1)
    return before + start, inside, end + rest


def main() -> None:
    text = GUIDE.read_text(encoding="utf-8")
    for name, table in TABLES.items():
        before, _, after = around(name, text)
        text = before + table() + after
    GUIDE.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
