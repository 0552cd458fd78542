"""Every screen at several widths: nothing beyond the edge, no word cut, no number parted from its unit."""

import io
import re
import shlex
from collections import Counter

import pytest

from journal.screens import folding, terminal
from tests.cli.test_commands import COMMANDS

WIDTHS = (40, 60, 80, 120)
#: A width at which nothing has to be folded.
ENDLESS = 4000
#: What each command that shows something is asked for, on the demo.
CALLS = {
    "ask": None,
    "backups": [""],
    "blade": None,
    "builds": [""],
    "buy": ["r1", "r2"],
    "check": ["r1", "r1 --all", "r1 wiring.fuse"],
    "compare": ["r1 r2", "r2 r1 --all"],
    "curve": ["r2", "r2 --all"],
    "diagram": ["r1", "r2"],
    "doctor": [""],
    "draw": ["blade r2 --json", "tail r2 --json"],
    "doubts": ["r1"],
    "history": ["F1 --full"],
    "list": ["attempts", "measurements", "parts", "files", "decisions", "failures", "claims", "papers"],
    "logger": [""],
    "look": ["F1", "F1 --all"],
    "members list": None,
    "missing": ["r1"],
    "names": ["", "--measured"],
    "next": None,
    "part list": ["r1"],
    "power": ["r1", "r2"],
    "predictions": [""],
    "rules": [""],
    "search": ["battery"],
    "sheet": ["r2"],
    "show": ["F1", "F3", "A4", "D1", "M8", "P1", "X1", "r2"],
    "status": [""],
    "table": None,
    "todo": [""],
    "turn": ["wiring.voltage-drop cable.mast.area --subject cable.mast --on r1"],
    "vary": ["'cable.mast.area=6 mm2, 10 mm2' --on r1"],
    "weigh": ["D1", "D4"],
    "where": None,
    "why": ["F1 --all"],
    "wind": ["", "--all"],
    "years": ["r1 --years 1"],
}
#: Why some commands are not among them.
APART = {
    "ask": "its screen is a conversation; what nobody answers is told as an error",
    "members list": "on a server alone",
    "blade": "nothing of the demo was measured back",
    "next": "it takes longer than all others together; it is written with the same table and paragraphs",
    "table": "it shows what would be taken in of a file",
    "where": "a path alone, for scripts",
    "import": "it makes a journal",
}
#: The same on a journal of almost nothing.
LITTLE = (
    "check r1", "check r1 --all", "compare r1 r2", "diagram", "doubts", "history", "list attempts", "list instruments",
    "list parts", "missing", "part list", "predictions", "sheet", "show A1", "show F1", "show D1", "show r1", "status",
    "todo", "weigh D1", "why F1 --all",
)  # fmt: skip
#: A machine on which much is stated of each part of the chain.
ODD = (
    'set generator.rated_current "15 A"',
    'set cable.mast.length "34 m"',
    'set cable.mast.area "2.5 mm2"',
    'set cable.mast.carries "generator after the rectifier"',
    'set cable.mast.fuse "15 A"',
    'set cable.mast.fuse_distance "1.2 m"',
    'set cable.mast.fuse_voltage "1000 V"',
    'set cable.mast.fuse_breaking "30000 A"',
    'set storage.voltage "48 V"',
    'set storage.chemistry "LiFePO4"',
    'set protection.main_fuse "none, each cable has its own at the battery"',
)
_PAIR = re.compile(
    r"(?<![\w.])\d[\d.,]* (?:%|rpm/V|rpm|m/s|mm²|mm|kWh|kW|W|V|Ah|A|m|kg|Nm|N|MPa|GBP|°C|Ω|days|h)(?![\w/])|Bft \d+"
)
_PLOTTED = re.compile(r"[│└┴]")


@pytest.fixture
def shown(monkeypatch, run):
    """What one command shows at several widths; it is asked for once."""
    held = []
    monkeypatch.setattr(terminal.Screen, "__call__", lambda *given, **more: held.append((given, more)))

    def at_widths(call):
        held.clear()
        run(*shlex.split(call))
        ((screen, thing, _, *given), more) = held[-1]
        made = {}
        for width in (*WIDTHS, ENDLESS):
            monkeypatch.setenv("COLUMNS", str(width))
            screen.text(terminal.Terminal(told := io.StringIO()), thing, *given, **more)
            made[width] = re.sub(r"\x1b\[[0-9;]*m", "", told.getvalue())
        return made

    return at_widths


def words(text):
    """All words of a screen; plots and rules are none, nor is the colon between a head and its cell."""
    lines = [line for line in text.replace("\\\n", "").splitlines() if not _PLOTTED.search(line)]
    return {word.rstrip(":") for line in lines for word in line.split() if word.strip("─#")}


def hold(call, made):
    """Hold every width of a screen against the one at which nothing is folded."""
    wide = made[ENDLESS]
    for width in WIDTHS:
        text = made[width].replace("What each part loses is shown from 80 columns on.", "")
        beyond = [x for x in text.splitlines() if folding.columns(x.rstrip()) > width and len(x.split()) > 1]
        assert not beyond, (call, width, beyond[:3])
        if call != "history" and not (call.startswith("power") and width < 80):
            assert words(text) - words(wide) == set(), (call, width)
            parted = Counter(_PAIR.findall(wide)) - Counter(_PAIR.findall(text))
            assert not parted, (call, width, parted)


@pytest.mark.parametrize("call", [f"{name} {args}".strip() for name, asked in CALLS.items() for args in asked or ()])
def test_no_screen_breaks_a_word_or_a_number(story, shown, call):
    """Each word and each number with its unit at 40 to 120 columns is one of the screen that is not folded."""
    hold(call, shown(call))


def test_nor_does_one_of_almost_nothing(do, shown):
    """An attempt, a failure, two revisions, nothing on the sheet."""
    do(
        'attempt "stood it up" --outcome worked',
        'fail "it hums"',
        "revise --because quieter",
        'decide "What now?"',
        'option D1 "wait"',
        "part add rope",
        "instrument meter",
    )
    for call in LITTLE:
        hold(call, shown(call))


def test_no_command_that_shows_is_forgotten():
    """Whoever adds one says what it is asked for, or why not."""
    reading = {name for name, command in COMMANDS.items() if any("--json" in p.opts for p in command.params)}
    assert set(CALLS) | set(APART) == reading
    assert {name for name, asked in CALLS.items() if asked is None} == set(APART) - {"import"}


@pytest.mark.parametrize("width", [40, 80])
def test_the_history_is_a_line_a_change(story, shown, width):
    """Under its day, with the time first; what does not fit ends in dots behind a whole word."""
    made = shown("history r2 --all")
    short, whole = ([x for x in made[w].splitlines() if re.match(r"\d\d:\d\d  ", x)] for w in (width, ENDLESS))
    assert len(short) == len(whole) > 200
    assert any(line.endswith(" ...") for line in short)
    assert all(folding.columns(line) <= width for line in short)
    for one, other in zip(short, whole, strict=True):
        kept = one.removesuffix(" ...")
        assert one == other or other.startswith(f"{kept} "), (one, other)


@pytest.mark.parametrize(("columns", "most"), [("60", 60), ("80", 80), ("", 100)])
def test_what_is_piped_follows_the_columns_that_are_told(story, run, monkeypatch, columns, most):
    """COLUMNS where it is set, and what such files are read with where it is not."""
    monkeypatch.setenv("COLUMNS", columns)
    lines = [
        line.rstrip()
        for call in ("check r1", "compare r1 r2", "diagram r2")
        for line in run(*call.split()).out.splitlines()
    ]
    assert most - 10 < max(map(len, lines)) <= most


@pytest.mark.parametrize("width", [60, 72, 80])
def test_a_diagram_that_goes_on_below_keeps_its_chain(run, do, monkeypatch, width):
    """Words of somebody's own as long as they may get, and each run with a cable and a fuse of its own."""
    monkeypatch.setenv("COLUMNS", str(width))
    do(*ODD)
    lines = do("diagram").out.splitlines()
    assert max(map(len, lines)) <= width
    chain = lines[lines.index("  |") - 1 : next(at for at, line in enumerate(lines) if line.startswith("[ House"))]
    assert all(line.startswith(("  |", "[", "  +")) for line in chain)
