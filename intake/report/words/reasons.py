"""Why a battery has its grade and what comes next, in a few words and figures."""

import re
from collections.abc import Callable

from intake.model.result import GradedBattery
from intake.model.rules import Rule
from intake.model.verdict import Step
from intake.report.drawing.plain_text import one_line
from intake.report.words.wording import load_wording

_PROBABILITY = re.compile(r"[:;,]? P\([^()]*\) = [0-9.]+[0-9]\.?")
_UNCERTAINTY = re.compile(r",? u(?:_\w+)? [0-9.]+[0-9](?: V(?:/day)?)?")
_SLOPE = re.compile(r"; slope [^:]*: ")
_FITTED = re.compile(r" \(-?[0-9.]+ V per e-fold\)")
"""How a voltage was projected is for ``intake explain``."""
_LONG_FIGURE = re.compile(r"[0-9]+\.[0-9]{4,}")
"""More decimals than a meter or a watch is worth, as in ten minutes told in hours."""
_PERCENT = 100
_CLOSE_FROM = 0.05
_EVEN = 0.5
UNITS = {"1": "", "V/d": "V a day"}
"""Units that are not printed as the policy writes them."""
_BOUNDS_FROM_ABOVE = (Rule.HOLD_DROP_FAILS, Rule.HOLD_DROP_HIGH, Rule.LEAK_FAILS, Rule.LEAK_SUSPECT)
"""Rules of which the reading has to be over the limit to be sure that something is wrong."""
RATE_DECIMALS = 4
"""Of volts a day."""
FINE_V = 0.02
"""Volts below which a third decimal is shown."""


Figure = float | str | None
_MOST_MORE = 4
"""More decimals than that tell no two figures apart that a meter could."""


def reason_in_few_words(one: GradedBattery) -> str:
    """Return the decisive rule with its figures; the mark that was missed, where one was."""
    return step_in_few_words(one.verdict.decisive)


def step_in_few_words(step: Step) -> str:
    """Return one rule with its figures."""
    words = load_wording().reasons[step.rule]
    measured, asked = _told_apart(
        step.measured, needed(step), lambda one, more: _figure(one, step.unit, more)
    )
    measured_percent, asked_percent = _told_apart(step.measured, needed(step), _percent)
    return words.format(
        measured=measured,
        limit=_figure(step.limit, step.unit),
        needed=asked,
        measured_percent=measured_percent,
        limit_percent=_percent(step.limit),
        needed_percent=asked_percent,
        charge=_plain(step.charge_percent),
        missed_charge=_plain(step.missed.charge_percent if step.missed else None),
    )


def reason_in_full(step: Step) -> str:
    """Return the reason as a sentence that a pocket calculator checks: no probability, no uncertainty."""
    text = _FITTED.sub("", _SLOPE.sub("; ", _UNCERTAINTY.sub("", _PROBABILITY.sub("", step.text))))
    text = _LONG_FIGURE.sub(lambda found: f"{float(found.group()):.4g}", text)
    text = one_line(text).rstrip(" :;,")
    text = text if text.endswith(".") else f"{text}."
    return f"{text} {_to_be_sure(step)}".rstrip()


def _to_be_sure(step: Step) -> str:
    """Return the reading that it takes, as a sentence; nothing where no uncertain reading is compared."""
    limit, sure = compared_limit(step), needed(step)
    if step.limit_to_be_sure is None or not isinstance(limit, float | int) or not isinstance(sure, float):
        return ""
    unit = UNITS.get(step.unit, step.unit)
    shown, asked = (f"{_figure(float(one), step.unit)} {unit}".rstrip() for one in (limit, sure))
    if step.rule in _BOUNDS_FROM_ABOVE:
        return f"With this meter it is sure to exceed {shown} from {asked} on."
    if step.rule is Rule.HOLD_DROP_UNCLEAR:
        if sure <= 0:
            return f"With this meter and these hours nobody can be sure that it keeps to {shown}."
        return f"With this meter it takes {asked} or less to be sure that it keeps to {shown}."
    if step.missed is not None:
        met, missed = _plain(step.charge_percent), _plain(step.missed.charge_percent)
        return f"At least {met} % charged; {missed} % not proven: with this meter that takes {asked}."
    mark = shown if step.charge_percent is None else f"{_plain(step.charge_percent)} % charge ({shown})"
    return f"With this meter it takes {asked} to be sure of {mark}."


def compared_limit(step: Step) -> Figure:
    """Return the mark that a reading is held against: the one it missed, where it met the rule's own."""
    return step.missed.limit if step.missed else step.limit


def needed(step: Step) -> Figure:
    """Return the reading that it takes to be sure of the mark; the limit itself where nothing is weighed."""
    if step.missed:
        return step.missed.limit_to_be_sure
    return step.limit if step.limit_to_be_sure is None else step.limit_to_be_sure


def _told_apart(one: Figure, other: Figure, told: Callable[[Figure, int], str]) -> tuple[str, str]:
    """Return two figures as texts, with as many decimals as it takes to tell them apart."""
    texts = [(told(one, more), told(other, more)) for more in range(_MOST_MORE)]
    return next((pair for pair in texts if pair[0] != pair[1]), texts[0])


def _figure(value: Figure, unit: str, more: int = 0) -> str:
    if value is None:
        return "–"
    if isinstance(value, str):
        return one_line(value)
    if unit == "V/d":
        return f"{value:.{RATE_DECIMALS + more}f}"
    if unit == "V":
        return f"{value:.{(2 if abs(value) >= FINE_V else 3) + more}f}"
    return f"{value:.{3 + more}g}"


def _percent(value: Figure, more: int = 0) -> str:
    return f"{_PERCENT * value:.{more}f}" if isinstance(value, float | int) else "–"


def _plain(value: float | None) -> str:
    return "–" if value is None else f"{value:g}"


def is_close(step: Step) -> bool:
    """Say whether the reading of a rule lies within the guard band of its limit, on either side.

    Of a mark that was missed only the band above it counts: there the reading met the mark, if not for sure.
    """
    if step.missed is not None and step.missed.probability >= _EVEN:
        return True
    return step.probability is not None and _CLOSE_FROM < step.probability < 1 - _CLOSE_FROM
