"""``intake policy``: the numbers in force."""

import argparse

from intake.cli.exit_codes import ExitCode
from intake.cli.reading_options import policy_from
from intake.cli.screen_text import escaped
from intake.model.printable import printable
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
        print(escaped(path.read_text(encoding="utf-8-sig")) if path else shipped_policy_text(), end="")
    return ExitCode.DONE
