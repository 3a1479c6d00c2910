"""Property tests look for faults: the same cases each time, and a slow machine is none."""

from hypothesis import HealthCheck, settings

settings.register_profile(
    "any machine", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("any machine")
