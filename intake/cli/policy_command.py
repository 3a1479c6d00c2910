"""``intake policy``: the numbers in force."""

import argparse
import json

from intake.cli.exit_codes import ExitCode
from intake.cli.reading_options import policy_from
from intake.cli.screen_text import printable
from intake.policy.grading_policy import shipped_policy_text


def run(options: argparse.Namespace) -> ExitCode:
    """Print the policy as JSON, or validate a file."""
    path = options.check or options.policy
    policy = policy_from(path)
    if policy is None:
        return ExitCode.REJECTED if options.check else ExitCode.USAGE
    if options.check:
        print(printable(f"{path}: policy {policy.name!r} can be used (SHA-256 {policy.sha256[:12]})."))
    else:
        print(_escaped(path.read_text(encoding="utf-8-sig")) if path else shipped_policy_text(), end="")
    return ExitCode.DONE


def _escaped(text: str) -> str:
    """Return the same JSON with nothing in it that could steer a terminal: such signs stand in texts only."""
    return "".join(
        sign if sign.isprintable() or sign in "\t\n\r" else json.dumps(sign)[1:-1] for sign in text
    )
