"""The table of rules in DEVELOPERS.md, made from the catalogue."""

from intake.model.rules import Rule


def rules_table() -> str:
    """Return the table as Markdown, in the order of a trace."""
    rows = ["| id | member | fires when | leaves to do |", "|---|---|---|---|"]
    for rule in Rule:
        hidden = "; hides the charge" if rule.hides_charge else ""
        rows.append(f"| `{rule.id}` | `{rule.name}` | {rule.meaning} | {rule.remedy.value}{hidden} |")
    return "\n".join(rows)
