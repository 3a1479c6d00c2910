"""How hours and temperatures are shown in a sentence."""

_HOUR_DECIMALS, _DEGREE_DECIMALS = 2, 1


def shown_h(hours: float) -> str:
    """Return hours as people read them, to a hundredth: ten minutes are 0.17."""
    return f"{round(hours, _HOUR_DECIMALS):g}"


def shown_c(temperature_c: float) -> str:
    """Return degrees Celsius as people read them, to a tenth: 64 °F are 17.8."""
    return f"{round(temperature_c, _DEGREE_DECIMALS):g}"
