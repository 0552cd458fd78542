"""What builders tell in passing, in the words of what they saw: signs that speak for ways of failing.

Each row is a pattern, and how many times likelier such words are if a mechanism is at work than if it is not. Own
estimates from how the trade speaks, no source; words are cheap, so no row weighs more than ten.
"""

from __future__ import annotations

import re
from functools import cache

_ROWS: tuple[tuple[str, dict[str, float]], ...] = (
    (
        r"growl|rumbl|\bhum|buzz|vibrat\w* (when|as soon|under|once)|grumbl|drone",
        {"generator.phase-open": 5.0, "generator.phase-reversed": 5.0, "rectifier.diode-open": 5.0,
         "generator.winding-burnt": 1.5},
    ),
    (
        r"(new|newly|just|fresh)\w* (wound|rewound|stator|winding|coils?)|rewound|re-wound|new stator|"
        r"first (run|time) after winding",
        {"generator.phase-reversed": 8.0, "generator.phase-open": 2.0},
    ),
    (
        r"as soon as it is connected|when connected|smooth (when|if|with)",
        {"generator.phase-reversed": 4.0, "generator.phase-open": 2.0},
    ),
    (
        r"rectif\w* (case|is|was)?.*(crack|burst|hot|black)|lightning|thunder",
        {"rectifier.diode-open": 5.0, "rectifier.diode-shorted": 6.0, "generator.rectifier-overvoltage": 4.0},
    ),
    (
        r"(somebody|someone|something) (has|is|holds|had|had left)?.*brake|as if (braked|held)|"
        r"walking pace|barely turns|hardly turns|like treacle",
        {"rectifier.diode-shorted": 6.0, "generator.winding-burnt": 3.0, "bearing.drag": 2.0,
         "furling.seized": 1.5, "charging.stalled": 2.0, "blade.back-to-front": 1.5},
    ),
    (
        r"lump|catches|notch|jerk|\bclicks? from|cogs?\b|cogging|sticky",
        {"generator.winding-burnt": 3.0, "rotor.too-stiff-to-start": 5.0},
    ),
    (
        r"smell|varnish|burnt|smoke|cooked|scorch|gets? (warm|hot)|runs? hot|overheat",
        {"generator.winding-burnt": 6.0, "generator.demagnetised": 3.0, "generator.earthed": 1.5},
    ),
    (
        r"(since|after|ever since).*(hot|heat|cooked|august|summer|stator got)|hot run",
        {"generator.demagnetised": 10.0, "generator.winding-burnt": 2.0},
    ),
    (
        r"(since|after|ever since).*(brake|short|stopp\w* it hard)",
        {"generator.demagnetised": 8.0, "brake.does-not-hold": 1.5},
    ),
    (
        r"(dropped|less|lower|down) (by|than)? ?.*(used to|it did|before|it gave|since)|used to|"
        r"gave more|no longer|since (that|the|last)|half of what|than it did",
        {"generator.demagnetised": 2.5, "blade.worn": 2.0, "charging.loose-connection": 2.0,
         "generator.phase-open": 2.0, "bearing.drag": 1.7, "rectifier.diode-open": 1.7, "generator.water": 1.3,
         "claim.too-high": 0.15, "sound.too-much-expected": 0.2, "charging.never-reached": 0.3,
         "charging.stalled": 0.3, "blade.back-to-front": 0.3, "blade.wrong-angle": 0.5},
    ),
    (
        r"scrap|scratch|rub|clack|metal on metal|grind|click\w* (once|every|per)|once per turn|"
        r"every revolution|rattl",
        {"generator.magnets-loose": 8.0, "bearing.drag": 3.0, "blade.tip-strike": 1.5},
    ),
    (
        r"squeak|squeal|screech|dry bearing|whine",
        {"bearing.drag": 5.0, "generator.belt-slips": 4.0},
    ),
    (
        r"squeal\w*.*(race|alternator)|belt",
        {"generator.belt-slips": 8.0},
    ),
    (
        r"lamp stays dark|warning lamp|no output what|spins? very (easy|free)|nothing at all comes|"
        r"dead as",
        {"generator.field-dead": 8.0, "fuse.gust-current": 1.5, "yaw.fault": 1.5},
    ),
    (
        r"(after|every|in|during) (every |each |a |the )?(calm|still|windless)",
        {"generator.field-drains": 6.0, "load.phantom": 2.0, "battery.starved": 1.3},
    ),
    (
        r"(turns|spins|runs|goes round|keeps turning) .*(no wind|calm|by itself)|like a (fan|motor)|as a motor",
        {"generator.driven-by-battery": 10.0},
    ),
    (
        r"nobody|weekend|standby|over ?night|each monday|while (we|i) (was|were)|all (is )?(off|"
        r"switched)|sinks? day by day|empties by itself",
        {"load.phantom": 8.0, "generator.field-drains": 2.0},
    ),
    (
        r"splice|terminal block|twisted together|joint|plug|connector|corrod|green|crimp|loose wire|"
        r"soldered",
        {"charging.loose-connection": 7.0, "generator.water": 2.5, "charging.slip-rings": 1.3},
    ),
    (
        r"(plug|joint|connector|box|terminal)\w* .*(warm|hot|melt|brown)",
        {"charging.loose-connection": 5.0, "inverter.cable": 1.5},
    ),
    (
        r"flicker|swings? round|as the head|when the head|comes and goes|in fits",
        {"charging.slip-rings": 7.0, "charging.loose-connection": 3.0},
    ),
    (
        r"\bwet|rain|drizzle|damp|\bdew|fog|fizz|thaw|wash",
        {"generator.water": 7.0, "generator.earthed": 2.5},
    ),
    (
        r"tingl|shock|prickl|ground fault",
        {"generator.earthed": 9.0, "house.back-feed": 2.0},
    ),
    (
        r"frost|freez|\bcold|below zero|winter|minus|icy|rime|\bsnow",
        {"battery.cut-off-cold": 5.0, "blade.ice": 5.0, "battery.frozen": 2.5, "blade.brittle": 1.5},
    ),
    (
        r"turns? fine|spins? (fine|well|nicely)|turns? (well|normally)",
        {"battery.cut-off-cold": 2.0, "charging.loose-connection": 1.7, "fuse.gust-current": 1.3,
         "generator.weak-magnets": 1.7, "bearing.drag": 0.2, "rectifier.diode-shorted": 0.1,
         "generator.winding-burnt": 0.4},
    ),
    (
        r"\bice\b|iced|icicle|hoar|rime|thump",
        {"blade.ice": 8.0},
    ),
    (
        r"spins? fast|races|screams?|whistl|revs? (higher|up)|faster than|quicker than|whirls|frightening",
        {"fuse.gust-current": 3.5, "yaw.fault": 2.5, "charging.loose-connection": 2.5,
         "generator.weak-magnets": 1.7, "charging.never-reached": 2.0, "rectifier.diode-open": 2.0,
         "generator.phase-open": 1.5, "generator.belt-slips": 2.0, "bearing.drag": 0.1,
         "rectifier.diode-shorted": 0.05, "charging.stalled": 0.1, "blade.back-to-front": 0.2},
    ),
    (
        r"stay\w* at (zero|nought|0)|reads? (zero|0|nothing)|not (a|one) single amp|stopped charging|"
        r"no (charge|current|output|amps)\b",
        {"fuse.gust-current": 2.5, "yaw.fault": 1.7, "battery.electronics-opened": 1.3,
         "battery.cut-off-cold": 1.3, "sound.too-much-expected": 0.5, "blade.worn": 0.5, "furling.early": 0.5},
    ),
    (
        r"(after|since|in) the (gust|gale|storm|blow|lightning)|gusty night|after a (gust|gale|storm)|"
        r"the storm",
        {"fuse.gust-current": 2.5, "yaw.fault": 1.5, "furling.seized": 2.0, "rectifier.diode-shorted": 1.3,
         "blade.tip-strike": 1.2, "generator.demagnetised": 1.3},
    ),
    (
        r"never (gets|got|reach\w*|makes) .*(volt|speed|charg)|treadmill?|all day .*nothing|spins? but|"
        r"whirls round",
        {"charging.never-reached": 4.0},
    ),
    (
        r"starts? charging early|never (makes )?more than .*however|however hard|no matter how hard|"
        r"no (more|increase) .*(wind|blows)|as the wind picks up",
        {"charging.stalled": 4.0, "furling.early": 3.5},
    ),
    (
        r"folds?|furl|out of the wind|turns? its face|tail",
        {"furling.early": 3.0, "furling.seized": 2.5, "furling.never": 2.5, "yaw.fault": 2.0},
    ),
    (
        r"(not|never|n't) (fold|furl)|does not furl|did not fold|overpower|far above",
        {"furling.never": 5.0, "furling.seized": 4.0},
    ),
    (
        r"tail is (sideways|folded|stuck|bent)|tail hangs|stuck|hinge",
        {"furling.seized": 6.0},
    ),
    (
        r"sideways|across the wind|follow the wind|does not face|away from the wind",
        {"yaw.fault": 6.0, "furling.seized": 1.7, "furling.early": 1.7},
    ),
    (
        r"one (particular|certain) speed|at one speed|then calms|settles down|sways|swings wildly",
        {"vibration.resonance": 9.0},
    ),
    (
        r"the faster .*(more|worse)|worse with (wind|speed)|grows with|trembl|wobbl|shakes? (more|harder)",
        {"vibration.imbalance": 6.0},
    ),
    (
        r"year by year|bit by bit .*less|sandpaper|leading edge|chipped|flies|dirty blades|\brough",
        {"blade.worn": 8.0},
    ),
    (
        r"(brand )?new blades|first run|remounted|put (it |them )?back|just built|carved",
        {"blade.back-to-front": 5.0, "blade.wrong-angle": 4.0, "generator.phase-reversed": 1.5},
    ),
    (
        r"half as fast|turns? slow|runs? slow|poor\b.*once|starts? in the (slightest|least|lightest)|"
        r"shoved|pushed|get going",
        {"blade.wrong-angle": 4.0, "blade.back-to-front": 4.0, "bearing.drag": 2.5, "blade.ice": 1.5,
         "charging.stalled": 1.7, "rectifier.diode-shorted": 1.7, "fuse.gust-current": 0.1,
         "charging.loose-connection": 0.3},
    ),
    (
        r"(late|until it blows|needs? (a lot|more) wind|used to start|turns? heav)",
        {"bearing.drag": 5.0, "rotor.too-stiff-to-start": 3.0},
    ),
    (
        r"just sits|stands? still|won'?t (turn|start|get)|does not (start|turn)",
        {"rotor.too-stiff-to-start": 3.0, "bearing.drag": 2.0},
    ),
    (
        r"bolt|root|hub end|after (two|three|four|five|\d+) years|ran (two|three|four|\d+) years|"
        r"ordinary wind|as normal|normal (wind|running)",
        {"blade.root-torn": 6.0, "blade.brittle": 1.5},
    ),
    (
        r"glass|splinter|shatter|brittle|snapp|crumbl|\bsun\b",
        {"blade.brittle": 7.0},
    ),
    (
        r"scuff|\bmarks? on|\bdents?\b|hit the (mast|pole|tower)|struck|tip (gone|off|broken)|"
        r"bang in a gust",
        {"blade.tip-strike": 8.0},
    ),
    (
        r"howl|scream|like a jet|burst|bits (all )?over|exploded|flew apart|roar",
        {"rotor.overspeed": 6.0},
    ),
    (
        r"(brake|switch).*(would not|not stop|did not|slow\w*|keeps)|would(n't| not) stop|keeps turning",
        {"brake.does-not-hold": 8.0},
    ),
    (
        r"old (and|ones|batter)|new batter|added (two|some|a|\d)|mixed|one (string|battery) (boils|is|"
        r"gets)|string",
        {"battery.strings-uneven": 7.0},
    ),
    (
        r"dies quick|drops quick|won'?t hold|shows \d+ ?v|sinks within|does not last|drops fast|"
        r"like it used to",
        {"battery.worn": 4.0, "battery.strings-uneven": 2.0, "battery.too-small": 1.5},
    ),
    (
        r"(every|each) (day|night|evening|morning)|daily|by (evening|morning)",
        {"battery.too-small": 4.0, "battery.starved": 1.5},
    ),
    (
        r"(over|each|every) (the )?(week|month)|bit by bit|dimmer|never (reach\w*|gets?|is) full|"
        r"slowly goes down",
        {"battery.starved": 4.0, "controller.set-wrongly": 1.7},
    ),
    (
        r"clicks? on and off|controll?er|regulator|set point|dump (comes|runs|load is on)",
        {"controller.set-wrongly": 7.0},
    ),
    (
        r"dump (heater|load|resistor).*(hot|red|glow)|yet volts|volts keep|still ris",
        {"dump.failed": 6.0},
    ),
    (
        r"overcharg|1[5-9](\.\d)? ?v|boil|gass|bubbl|no dump",
        {"battery.overcharged": 3.0, "dump.failed": 2.5},
    ),
    (
        r"swoll|swell|bulg|puffed|bloat|pillow|case (is |has )?(split|burst|cracked|domed)",
        {"battery.overcharged": 3.0, "dump.failed": 2.0, "battery.frozen": 1.5, "battery.starved": 0.3,
         "controller.set-wrongly": 0.5, "battery.cut-off-low": 0.3},
    ),
    (
        r"nearly full|as it gets full|when (it is )?full|best wind",
        {"battery.cut-off-high": 5.0},
    ),
    (
        r"zero volts|nothing at the (posts|terminals)|dead (bank|battery)|0 ?v\b",
        {"battery.cut-off-low": 7.0},
    ),
    (
        r"bms|electronics|its app",
        {"battery.cut-off-cold": 3.0, "battery.cut-off-high": 3.0, "battery.cut-off-low": 3.0,
         "battery.electronics-opened": 3.0},
    ),
    (
        r"lugs?|inverter (cable|lead)|battery (says|shows|reads) \d|beep|low.?volt",
        {"inverter.cable": 4.0, "inverter.low-voltage": 2.0},
    ),
    (
        r"only when|when the \w+ starts?|starts?, (lamps|lights)|\bsaw (start|runs)|compressor|"
        r"motor starts",
        {"inverter.surge": 5.0},
    ),
    (
        r"expected|thought it would|was told|supposed|promise|advert|seller|should be more|"
        r"must be a fault|plans? (say|promise)|useful most days",
        {"sound.too-much-expected": 3.0, "claim.too-high": 2.0, "site.wind-overestimated": 1.5},
    ),
    (
        r"in a breeze|at \d+ met|light wind|most days",
        {"sound.too-much-expected": 2.0, "site.wind-low": 1.5, "claim.too-high": 1.5},
    ),
    (
        r"swapped two|another order|wrong order|wires? in|leads? in another",
        {"generator.leads-swapped": 10.0, "sound.too-much-expected": 8.0},
    ),
    (
        r"hedge|behind the|between the|trees|garden|roofs?\b|feels windy|sheltered",
        {"site.wind-overestimated": 5.0, "site.turbulent": 3.0, "site.wind-low": 2.0},
    ),
    (
        r"clamp|shunt|neighbour('s)? meter|far fewer amps|another meter",
        {"reading.not-true-rms": 8.0},
    ),
    (
        r"star point|ac range|phase voltage|peak|0\.(43|58|74)|between two (wires|leads)|rms",
        {"reading.wrong": 8.0},
    ),
    (
        r"ohms? .*should|should be .*ohm|reads? \d(\.\d+)? ohm|charges (all right|fine) though",
        {"reading.wrong-range": 7.0},
    ),
    (
        r"can'?t be right|cannot be right|reads? 1[5-9] ?v|too high to be",
        {"reading.meter-battery": 5.0, "reading.wrong": 2.0},
    ),
    (
        r"second.?hand|cheap|scrap|salvaged|used motor|voltage (seems|is) low",
        {"generator.weak-magnets": 4.0},
    ),
    (
        r"at the (tower|mast|head|foot).*at the battery|long (cable|run|way)|thin (cable|wire)",
        {"charging.cable-loss": 6.0, "charging.loose-connection": 1.5},
    ),
    (
        r"trickle|only a (little|few)",
        {"charging.loose-connection": 1.7, "generator.weak-magnets": 1.3},
    ),
)  # fmt: skip


_READ = re.compile(
    r"\d ?(v|volts?|a|amps?|w|watts?|ohms?|rpm|hz)\b|meter|reads?\b|reading|measur|shows?\b|display|clamp"
)


def tells_reading(text: str) -> bool:
    """Whether a builder's words tell of something that a meter showed.

    Examples
    --------
    >>> tells_reading("The battery is swollen"), tells_reading("It shows 15.8 V")
    (False, True)
    """
    return _READ.search(text.casefold()) is not None


@cache
def sign_patterns() -> tuple[tuple[re.Pattern[str], dict[str, float]], ...]:
    """All rows, each with the pattern of its words and the odds they give, by the ids of ways of failing."""
    return tuple((re.compile(pattern), odds) for pattern, odds in _ROWS)


def told_odds(text: str) -> dict[str, float]:
    """How many times likelier each mechanism is made by what was told, by its id; one where nothing speaks of it.

    Examples
    --------
    >>> told_odds("It growls since the rewound stator went in")["generator.phase-reversed"] > 10
    True
    >>> told_odds("")
    {}
    """
    plain = " ".join(text.casefold().split())
    odds: dict[str, float] = {}
    for pattern, speaks in sign_patterns():
        if pattern.search(plain):
            for name, factor in speaks.items():
                odds[name] = odds.get(name, 1.0) * factor
    # Words of one sentence hang together: many of them count less than each by itself.
    return {name: min(factor, 10.0 * factor**0.25) if factor > 1 else factor for name, factor in odds.items()}
