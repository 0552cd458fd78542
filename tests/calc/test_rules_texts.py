"""What people read: short, with numbers, never a promise."""

import ast
import re
from functools import cache
from pathlib import Path

import pytest

from calc.finding import Status
from calc.machine.catalogue import Sheet
from calc.machine.design import build_design
from calc.rules import RULES
from calc.rules.engine import FINE
from calc.rules.phrases import not_stated
from tests.calc.sheets import advised, findings, with_remedies
from tests.calc.test_rules_statuses import CASES
from tests.outside.turning_points import ROWS

NUMBERS = range(len(CASES))
IDS = [f"{case[0]}-{case[3]}-{i}" for i, case in enumerate(CASES)]
#: Rows of the table of turning points for rules that have no case.
TABLED = [row for row in ROWS if row.rule not in {case[0] for case in CASES}]
DANGERS = [i for i, case in enumerate(CASES) if case[3] is Status.DANGER]
#: Rules whose remedy depends on words only, so that there is nothing to compute.
WORDS_ONLY = {
    "house.feed",
    "storage.dump",
    "generator.touch-voltage",
    "protection.polarity",
    "storage.place",
    "energy.year",
    "blade.root-strength",
    "rotor.starting",
    "measured.agrees",
    "measured.curve",
}


@cache
def _found(i):
    """What the rule says in one of the cases; worked out when it is first asked for."""
    rule, subject, changes, _, _ = CASES[i]
    return advised(changes, rule)[rule, subject]


@pytest.mark.parametrize("i", NUMBERS, ids=IDS)
def test_status_and_words(i):
    """One rule, one change to the good machine, one status, and the numbers a builder is given."""
    found = _found(i)
    assert found.status is CASES[i][3], found.says
    words = " ".join((found.says, found.more, found.remedy, *found.missing))
    for phrase in CASES[i][4]:
        assert phrase in words


def _clean(found):
    """A finding whose texts promise nothing and show no raw Python value."""
    text = " ".join(filter(None, (found.title, found.says, found.remedy, found.caution)))
    assert not re.search(r"\bsafe(ly|ty)?\b", text, re.IGNORECASE)
    assert not re.search(r"None|nan|np\.|array|  |\.\.|\d{6,}", text)
    assert found.says.endswith(".")
    assert len(found.says) < 480


def _helps(found):
    """A finding that is fine and has no remedy, or has one, with a change or a number unless only words decide."""
    if found.status in FINE:
        assert found.remedy == ""
        return
    assert found.remedy.endswith(".") or found.missing == ()
    tried = any(remedy.changes for remedy in found.remedies) or found.remedy.startswith("No single change")
    if found.status is not Status.UNKNOWN and not tried and found.rule not in WORDS_ONLY:
        assert re.search(r"\d", found.remedy), found.remedy


@pytest.mark.parametrize("i", NUMBERS, ids=IDS)
def test_text_promises_nothing_and_prints_cleanly(i):
    """No output says that a thing is safe; no raw Python value shows."""
    _clean(_found(i))


@pytest.mark.parametrize("i", NUMBERS, ids=IDS)
def test_what_is_wrong_comes_with_a_way_out(i):
    """Anything but ok has a remedy, with a number unless only words decide; ok has none."""
    _helps(_found(i))


@pytest.mark.parametrize("row", TABLED, ids=lambda row: f"{row.rule}-{row.path}")
def test_a_rule_that_only_the_table_tries_speaks_as_well(row):
    """On both sides of its turns."""
    turns = row.turns() if callable(row.turns) else row.turns
    sides = turns if isinstance(turns, dict) else [t[0] * (1.0 + way * row.hair) for t in turns for way in (-1, 1)]
    for side in sides:
        values = {**row.base, **row.changes, row.path: side}
        sheet = build_design({name: value for name, value in values.items() if value is not None})
        found = next(f for f in with_remedies(sheet, row.rule) if f.subject == row.subject)
        _clean(found)
        _helps(found)


@pytest.mark.parametrize("i", DANGERS, ids=[IDS[i] for i in DANGERS])
def test_danger_has_a_caution(i):
    """Where people can be hurt, the finding says how."""
    assert len(_found(i).caution) > 60


@pytest.mark.parametrize("rule", RULES, ids=lambda r: r.id)
def test_rule_is_named_and_sourced(rule):
    """Chapter and name, a title, and at least one source; ids are unique."""
    assert re.fullmatch(r"[a-z]+\.[a-z-]+", rule.id)
    assert rule.title
    assert rule.sources
    assert sum(other.id == rule.id for other in RULES) == 1


#: Words that the trade does not use so, and what it says instead.
GONE = {
    "this run|cable runs?|end of the run|the run carries|generator's run": "cable; what runs is the machine",
    "bears|bore|borne": "is rated for, withstands, carries",
    "bear (it|them|the|a|an|that|this|more|such)": "take, withstand, carry",
    "company": "grouping, grouped with other cables",
    "lasting": "continuous",
    "for good": "continuously",
    "for hours on end": "continuously",
    "parted": "disconnected, split",
    "parts (it|them|the|one|generator|neutral)": "disconnects, opens",
    "part (it|them|generator|neutral)": "disconnect, open",
    "in the dry": "when dry",
    "near by": "nearby",
    "mends|mended|anew": "puts right, repaired, again",
    "befalls?|befell": "happens to",
    "to be had": "found",
    "drives? nothing": "gives no power",
    "asks? of|asked of|asks? for more": "needs from, required of, needs",
    "marked for direct current": "rated for DC",
    "cuts? the battery off": "disconnects the battery",
    "takes? the (last )?load off": "unloads",
    "open voltage of": "open-circuit voltage",
    "in work|normal work": "in normal running",
    "spoils?": "ruins, damages",
    "aired": "ventilated",
    "whence|lest|till": "from where, in case, until",
}
ANY_GONE = re.compile(rf"\b({'|'.join(GONE)})\b", re.IGNORECASE)
ROOT = Path(__file__).parents[2]
FILES = [p for room in ("calc", "journal") for p in sorted((ROOT / room).rglob("*.py")) if "versions" not in p.parts]


def _strings(path):
    """Every text in a file that people could see: no docstring, and what is put into a text left open."""
    every = list(ast.walk(ast.parse(path.read_text(encoding="utf-8"))))
    docstrings = {n.value for n in every if isinstance(n, ast.Expr)}
    hidden = docstrings.union(*(n.values for n in every if isinstance(n, ast.JoinedStr)))
    for node in every:
        if isinstance(node, ast.JoinedStr):
            yield "".join(str(v.value) if isinstance(v, ast.Constant) else "…" for v in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and node not in hidden:
            yield node.value


def _is_pattern(text):
    """Whether it is what people type, as a regular expression has it, and nothing that is shown to them."""
    return "(?:" in text or "(?=" in text


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(ROOT)))
def test_words_that_went_stay_gone(path):
    """One word for one thing, as the trade speaks."""
    texts = [text for text in _strings(path) if not _is_pattern(text)]
    # Most files have none of them, which one look tells.
    gone = GONE if ANY_GONE.search("\n".join(texts)) else {}
    for words, better in gone.items():
        found = [t for t in texts if re.search(rf"\b({words})\b", t, re.IGNORECASE)]
        assert not found, f"{words}: say {better}"


@pytest.mark.parametrize("path", [p for p in FILES if "rules" in p.parts], ids=lambda p: p.name)
def test_a_size_is_said_where_the_short_plan_keeps_it(path):
    """What is bought stands in the first piece of a sentence: short lists drop what follows a colon or a bracket."""
    calls = [n for n in ast.walk(ast.parse(path.read_text(encoding="utf-8"))) if isinstance(n, ast.Call)]
    for says in (n.args[0] for n in calls if isinstance(n.func, ast.Name) and n.func.id == "change" and n.args):
        parts = says.values if isinstance(says, ast.JoinedStr) else [says]
        text = "".join(str(p.value) for p in parts if isinstance(p, ast.Constant))
        assert not re.search(r"^[^{}.]*([;:] | \()[^{}]*\{\d\}", text), text


@pytest.mark.parametrize("path", [p for p in FILES if {"rules", "mechanisms"} & set(p.parts)], ids=lambda p: p.name)
def test_a_good_drop_is_typed_once(path):
    """What a rule says of it comes from its one home; a source may say what it says."""
    assert [t for t in _strings(path) if re.search(r"(?<![\d.] )(?<![\d.])3 %", t) and "2 to 3 %" not in t] == []


def test_what_the_sheet_does_not_say_is_said_as_people_speak():
    """A thing has its article, a question has none."""
    entries = (Sheet.blade.chord_root, Sheet.blade.chord_tip, Sheet.rotor.overspeed, Sheet.blade.pipe_wall)
    said = re.sub(r" \(\S+\)", "", not_stated(entries))
    assert said == (
        "the sheet does not say the chord at the root, chord at the tip, what limits the rotor's speed by itself in a "
        "storm, the wall of the pipe as it is sold"
    )


def test_a_quarter_can_be_followed():
    """Whoever adds a quarter to the current that is named gets the one that is asked for, to the last figure shown."""
    tried = 0
    for f in findings({}).values():
        text = f"{f.says} {f.more}"
        if match := re.search(r"carries up to ([\d.]+) A \(.*With a quarter added, [^\d]*([\d.]+) A", text):
            assert float(match[2]) == pytest.approx(1.25 * float(match[1]), rel=2e-3)
            tried += 1
    assert tried
