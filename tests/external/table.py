"""The table of DEVELOPERS.md that says what was checked against what, and how far it lies off."""

from importlib import import_module

from tests.external.agreement import CHECKS, Check

MODULES = (
    "test_jcgm_106",
    "test_measurement_uncertainty",
    "test_scipy_referee",
    "test_open_circuit_tables",
    "test_acid",
    "test_lfp_branches",
    "test_measured_rest",
    "test_temperature",
    "test_lot_referee",
    "test_strength_references",
    "test_common_practice",
)
"""Where the checks stand, in the order of the table."""


def external_table() -> str:
    """Return the table in Markdown."""
    for name in MODULES:
        import_module(f"tests.external.{name}")
    of_module = {name: f"tests.external.{name}." for name in MODULES}
    checks = [one for prefix in of_module.values() for key, one in CHECKS.items() if key.startswith(prefix)]
    return "\n".join(
        (
            "| checked | against | cases | tolerance | largest deviation |",
            "|---|---|---|---|---|",
            *map(_line, checks),
        )
    )


def _line(one: Check) -> str:
    found = one.deviations()
    tolerance, largest = "equal", "none"
    if one.within:
        tolerance = f"{one.within:g} {one.unit}".strip()
        largest = f"{_figure(max(far for far, _ in found))} {one.unit}".strip()
    return f"| {one.checked} | {one.against} | {len(found)} | {tolerance} | {largest} |"


def _figure(value: float) -> str:
    """Return two digits; below a thousand-millionth what is left is the arithmetic of the machine."""
    if value < 1e-9:
        return "under 1e-09"
    return f"{value:.2g}" if value < 100 else f"{value:.0f}"
