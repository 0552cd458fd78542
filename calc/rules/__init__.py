"""The rule book: one module a subject, each a tuple of rules; this is where they come together."""

from __future__ import annotations

from calc.rules.engine import Rule

RULES: tuple[Rule, ...] = ()
