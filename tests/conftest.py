"""What holds for every test."""

from __future__ import annotations

from hypothesis import settings

# No test fails because the machine is slow: how long things take is measured in tests/benchmarks/.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")
