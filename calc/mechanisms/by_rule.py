"""Which rules judge a mechanism of failure, and so which mechanism is meant by whoever names a rule."""

from __future__ import annotations

#: Rules that judge a mechanism, the one that decides first.
JUDGED_BY: dict[str, tuple[str, ...]] = {
    "charging.never-reached": ("generator.charging-begins",),
    "charging.stalled": ("generator.match",),
    "charging.cable-loss": ("wiring.voltage-drop", "wiring.ampacity"),
    "battery.starved": ("energy.year", "storage.autonomy"),
    "battery.overcharged": ("storage.dump", "storage.charge-current", "storage.charge-voltage"),
    "battery.frozen": ("storage.freezing",),
    "battery.electronics-opened": ("storage.cold-charge", "storage.cell-monitor"),
    "dump.failed": ("dump.element", "dump.controller", "dump.circuit"),
    "rotor.too-stiff-to-start": ("rotor.starting",),
    "rotor.overspeed": ("rotor.overspeed", "rotor.brake"),
    "generator.winding-burnt": ("generator.heat",),
    "generator.rectifier-overvoltage": ("generator.storm-voltage", "protection.rectifier"),
    "blade.root-torn": ("blade.root-strength", "blade.stress", "blade.fatigue"),
    "blade.brittle": ("blade.condition",),
    "blade.tip-strike": ("blade.tip-clearance",),
    "vibration.imbalance": ("hub.balance",),
    "yaw.fault": ("yaw.tail-size", "yaw.friction", "yaw.cable"),
    "fuse.gust-current": ("wiring.fuse", "protection.fuse"),
    "inverter.surge": ("inverter.surge",),
    "inverter.low-voltage": ("inverter.sag",),
    "house.back-feed": ("house.feed",),
    "mast.overload": ("mast.tube-strength", "guy.anchor", "guy.rope"),
    "site.wind-low": ("site.power",),
    "site.turbulent": ("site.obstacle", "site.shelter"),
    "claim.too-high": ("claim.power", "claim.betz"),
}


def mechanisms_of_rule(rule: str | None) -> tuple[str, ...]:
    """Mechanisms that a rule judges, those first of which it is the rule that decides.

    Examples
    --------
    >>> mechanisms_of_rule("generator.charging-begins"), mechanisms_of_rule("house.labels")
    (('charging.never-reached',), ())
    """
    found = [(rules.index(rule), name) for name, rules in JUDGED_BY.items() if rule in rules]
    return tuple(name for _, name in sorted(found, key=lambda one: one[0]))
