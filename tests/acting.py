"""Who acts in tests that are not about who may do what."""

from __future__ import annotations

from app.people.guard import operator

TESTER = operator("A. Tester")
