"""Why a battery has its grade and what comes next, in a few words and figures."""

import re

from intake.model.result import GradedBattery
from intake.model.verdict import Step
from intake.report.drawing.plain_text import one_line
from intake.report.words.wording import load_wording

_PROBABILITY = re.compile(r"[:;,]? P\([^()]*\) = [0-9.]+[0-9]\.?")
_UNCERTAINTY = re.compile(r",? u(?:_\w+)? [0-9.]+[0-9](?: V(?:/day)?)?")
_SLOPE = re.compile(r"; slope [^:]*: ")
"""How a voltage was projected is for ``intake explain``."""
_PERCENT = 100
_CLOSE_FROM = 0.05
FINE_V = 0.02
"""Volts below which a third decimal is shown."""


def reason_in_few_words(one: GradedBattery) -> str:
    """Return the decisive rule with its figures; the mark that was missed, where one was."""
    return step_in_few_words(one.verdict.decisive)


def step_in_few_words(step: Step) -> str:
    """Return one rule with its figures."""
    words = load_wording().reasons[step.rule]
    return words.format(
        measured=_figure(step.measured, step.unit),
        limit=_figure(step.limit, step.unit),
        needed=_figure(needed(step), step.unit),
        measured_percent=_percent(step.measured),
        limit_percent=_percent(step.limit),
    )


def reason_in_full(step: Step) -> str:
    """Return the reason as a sentence that a pocket calculator checks: no probability, no uncertainty."""
    text = _SLOPE.sub("; ", _UNCERTAINTY.sub("", _PROBABILITY.sub("", step.text)))
    text = one_line(text).rstrip(" :;,")
    text = text if text.endswith(".") else f"{text}."
    limit, sure = step.limit, step.limit_to_be_sure
    if sure is None or not isinstance(limit, float | int):
        return text
    unit = "" if step.unit == "1" else f" {step.unit}"
    shown, asked = (_figure(float(one), step.unit) for one in (limit, sure))
    return f"{text} With this meter it takes {asked}{unit} to be sure of {shown}{unit}."


def needed(step: Step) -> float | str | None:
    """Return the reading that it takes to be sure of the limit; the limit itself where nothing is weighed."""
    return step.limit if step.limit_to_be_sure is None else step.limit_to_be_sure


def _figure(value: float | str | None, unit: str) -> str:
    if value is None:
        return "–"
    if isinstance(value, str):
        return one_line(value)
    if unit == "V":
        return f"{value:.2f}" if abs(value) >= FINE_V else f"{value:.3f}"
    return f"{value:.3g}"


def _percent(value: float | str | None) -> str:
    return f"{_PERCENT * value:.0f}" if isinstance(value, float | int) else "–"


def is_close(step: Step) -> bool:
    """Say whether the reading of a rule lies within the guard band of its limit, on either side."""
    return step.probability is not None and _CLOSE_FROM < step.probability < 1 - _CLOSE_FROM
