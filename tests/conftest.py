"""For every test: no clock decides, so that a busy machine fails none."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("no clock", deadline=None)
settings.load_profile("no clock")
