"""Hostile input: what was kept by the fuzzer, what Hypothesis makes, and what is no plain file or no photo at all."""

import io
import os
import signal
import subprocess
import sys

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from calc.machine import catalogue, spread
from journal import cli
from journal.book import sheet_toml, toml_outline
from journal.errors import BadInput, GalebookError
from tests import hostile

KEPT = sorted(f for f in hostile.CORPUS.glob("*/*") if f.is_file())


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A world, made once."""
    samples, here, kept = spread.SAMPLES, os.getcwd(), dict(os.environ)
    world = hostile.new_world(tmp_path_factory.mktemp("world").resolve())
    os.chdir(here)
    os.environ.clear()
    os.environ.update(kept)
    yield world
    spread.SAMPLES = samples


@pytest.fixture
def world(made, monkeypatch):
    """That world, with the program in it."""
    for name, value in made.environment.items():
        monkeypatch.setenv(name, value)
    monkeypatch.chdir(made.folder)
    return made


@pytest.mark.parametrize("target", [t for t in hostile.TARGETS if t != "search" or "search" in hostile.commands()])
def test_what_was_kept_holds(world, target):
    """Every input that reaches something of its own, and every one that once broke something."""
    for file in (f for f in KEPT if f.parent.name == target):
        hostile.hold(target, world, file.read_bytes())
    assert hostile.dump(world.journal) == world.start


def test_the_corpus_stays_small():
    """It is read by every run."""
    assert 60 < len(KEPT) <= 200
    assert sum(f.stat().st_size for f in KEPT) < 200_000


def test_what_breaks_is_seen(world, monkeypatch):
    """Each bound is one that can be broken."""
    from journal.cli import common

    def fails(line):
        with pytest.raises(hostile.BoundError):
            hostile.hold("command", world, line)

    monkeypatch.setattr(cli, "run", lambda args: print("\x1b[2J") or 0)  # noqa: T201
    fails(b"status")
    monkeypatch.setattr(cli, "run", lambda args: (world.folder / "elsewhere").write_text("") and 0)
    with pytest.raises(PermissionError):
        hostile.hold("command", world, b"status")
    monkeypatch.setattr(cli, "run", lambda args: common.say("no\nno") or 2)
    fails(b"status")
    monkeypatch.setattr(cli, "run", lambda args: common.say("x" * 5000) or 1)
    fails(b"status")


WORDS = [*(e.named("mast") for e in catalogue.catalogue().values()), "A1", "F1.1", "F1.e1", "D1.2", "r1", "P1", "F1"]
BITS = (
    st.sampled_from(
        [
            "1",
            "-",
            "+-",
            "±",
            " ",
            "m",
            "V",
            "%",
            "to",
            "in",
            "e9",
            "9" * 30,
            "1e999",
            "nan",
            "inf",
            "٣",
            "²",
            "\x1b[2J",
            "\u202e",
            "\udc80",
            "\x00",
            "\n",
            "=",
            ".",
            ",",
            ";",
            '"',
            "'''",
            "[",
            "]",
            "{",
            "}",
            "#",
            "Bft",
            "AWG",
            "rpm/V",
            "0999-01-01 00:00",
            "9999-12-31",
            "T",
            "Z",
            "+14:00",
            "..",
            "/",
            "~",
            "EUR",
            "**9",
            "((",
            "ﬁ",
            "İ",
            "a" * 300,
        ]
    )
    | st.sampled_from(WORDS)
    | st.text(max_size=4)
)
TEXT = st.lists(BITS, max_size=6).map("".join)
AMENDED = st.sampled_from(
    [
        "A1 did",
        "A1 began",
        "A1 wind",
        "M1 value",
        "F1 severity",
        "P1 cost",
        "F1.1 sure",
        "X1 private",
        "D1.2 changes",
        "build name",
        "C1 claim",
        "I1 accuracy",
    ]
)
LINES = st.lists(
    st.sampled_from(["[rotor]", "[cable.mast]", "diameter = ", "length = ", "value = ", "a.b.c = "]) | TEXT, max_size=6
).map("\n".join)
MADE = {
    "sheet": (40, LINES),
    "typed": (400, TEXT.map("ab{}".format) | st.tuples(TEXT, TEXT).map("xy {0[0]}|{0[1]}".format)),
    "winds": (150, st.tuples(st.sampled_from([" wind\n", " ", " a;wind\n", " wind,b\n"]), LINES).map("".join)),
    "form": (40, st.tuples(st.sampled_from(["ab", "journal.toml", "history.jsonl"]), LINES).map("\n".join)),
    "reference": (60, TEXT),
    "amend": (40, st.tuples(AMENDED, TEXT).map("=".join)),
}


@pytest.mark.parametrize("target", MADE)
def test_what_is_made_up_holds(world, target):
    """Texts of what the program knows and of what it should not, in any order."""
    count, texts = MADE[target]

    @settings(max_examples=count, suppress_health_check=[HealthCheck.too_slow], database=None)
    @given(texts)
    def one(text):
        hostile.hold(target, world, text.encode("utf-8", "surrogatepass"))

    one()


CHEAP = [
    "show",
    "set",
    "amend",
    "attempt",
    "measure",
    "use",
    "part add",
    "claim",
    "fail",
    "list",
    "names",
    "evidence",
    "option",
    "backup",
    "export",
    "import",
    "attach",
    "sheet --file",
    "sheet",
    "restore",
    "--journal",
    "history",
]


def test_whole_command_lines_hold(world):
    """Any words behind any command that computes nothing."""

    @settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow], database=None)
    @given(st.sampled_from(CHEAP), st.lists(TEXT, max_size=4))
    def one(command, args):
        line = "\0".join([*command.split(), *(a.replace("\0", "") for a in args)])
        hostile.hold("command", world, line.encode("utf-8", "replace"))

    one()


HUGE = 10_000_000


@pytest.mark.parametrize(
    "args",
    [
        ["show"],
        ["attempt"],
        ["x" * HUGE],
        ["set", "rotor.diameter"],
        ["attach", "--to", "A1"],
        ["vary", "--on"],
        ["use"],
        ["--journal"],
        ["import"],
    ],
    ids=lambda a: a[0][:9],
)
def test_ten_megabytes_behind_a_command_are_told_in_short(world, args):
    """Typed by no hand; the message does not fill the screen."""
    hostile.hold("command", world, "\0".join([*args, "9" * HUGE]).encode())


def test_steps_and_combinations_are_counted_before_they_are_made(world):
    """A count of ten thousand digits, a list of a million, and lists whose product is more than a machine number."""
    for value in ("1 V to 60 V in " + "9" * 10_000, "1 V," * 10**6, "9" * 10**6):
        hostile.hold("command", world, f"vary\0storage.voltage={value}".encode())
    names = [
        "storage.voltage=12 V to 48 V",
        "rotor.diameter=1 m to 3 m",
        "mast.height=4 m to 9 m",
        "load.lamps.power=1 W to 9 W",
        "cable.mast.length=3 m to 9 m",
        "site.mean_wind=3 m/s to 9 m/s",
        "storage.capacity=9 Ah to 99 Ah",
    ]
    with hostile.quiet() as (_, err):
        assert cli.run(["vary", *(f"{name} in 2000" for name in names)]) == 2
    assert b"combinations" in err.getvalue()


ODD = ["/dev/zero", "/dev/full", "pipe", "folder", "loop", "dangling", "endless", "/"]
WANTED = [
    ["attach", "{}", "--to", "A1"],
    ["sheet", "--file", "{}"],
    ["years", "--wind", "{}"],
    ["import", "{}"],
    ["writeup", "--for", "forum", "--templates", "{}"],
    ["restore", "{}", "--yes"],
    ["--journal", "{}", "status"],
    ["--journal", "{}", "doctor", "--mend"],
    ["--journal", "{}", "attempt", "x"],
    ["--journal", "{}", "where"],
]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="the system has no pipes with names")
@pytest.mark.parametrize("call", WANTED, ids=lambda c: " ".join(c))
def test_what_is_no_plain_file_is_refused_and_never_waited_for(world, call):
    """Devices, pipes into which nobody writes, folders, links that lead nowhere or to what never ends."""
    world.again()
    os.mkfifo(world.folder / "pipe")
    (world.folder / "folder").mkdir()
    for name, leads in (("loop", "loop"), ("dangling", "nothing"), ("endless", "/dev/zero")):
        (world.folder / name).symlink_to(leads)
    signal.signal(signal.SIGALRM, signal.default_int_handler)
    for odd in ODD:
        if "where" in call and odd in ("dangling", "loop"):
            continue
        signal.alarm(20)
        with hostile.quiet() as (_, err):
            code = cli.run([word.format(odd) for word in call])
        signal.alarm(0)
        told = err.getvalue().decode()
        plain = code == 0 and call[0] in ("sheet", "writeup") and odd in ("pipe", "folder", "/")
        assert plain or (code in (1, 2) and told.startswith("galebook: ")), (odd, code, told)
        assert hostile.dump(world.journal) == world.start
    world.again()


PHOTO = """
import resource, sys
resource.setrlimit(resource.RLIMIT_AS, (2 << 30, 2 << 30))
from pathlib import Path
from journal.errors import BadInput
from journal.publish.photos import clean
for file in sys.argv[1:]:
    try:
        photo = clean(Path(file).read_bytes(), "X1")
        print("good" if max(photo.width, photo.height) <= 1600 else "large")
    except BadInput as e:
        print("refused" if len(str(e)) < 300 else e)
print(next(int(line.split()[1]) for line in open("/proc/self/status") if line.startswith("VmHWM")) >> 10)
"""


def test_a_photo_that_grows_without_end_takes_no_memory(tmp_path):
    """Pixels that are all there, and pixels that are only claimed; what is no picture under the name of one."""
    from PIL import Image

    for kind, mode, edge in (
        ("png", "RGBA", 6000),
        ("png", "1", 9000),
        ("gif", "L", 5000),
        ("webp", "RGB", 2500),
        ("jpeg", "L", 9000),
    ):
        Image.new(mode, (edge, edge)).save(tmp_path / f"{kind}-{mode}-{edge}.{kind}")
    small = io.BytesIO()
    Image.new("RGB", (8, 8)).save(small, "PNG")
    claims = small.getvalue()[:16] + b"\x7f\xff\xff\xff" * 2 + small.getvalue()[24:]
    (tmp_path / "claims.png").write_bytes(claims)
    (tmp_path / "claims.gif").write_bytes(
        b"GIF89a\xff\xff\xff\xff\x00\x00\x00,\x00\x00\x00\x00\xff\xff\xff\xff\x00\x02\x02D\x01\x00;"
    )
    (tmp_path / "none.jpg").write_bytes(b"\xff\xd8" + b"\xff" * 100_000)
    files = sorted(tmp_path.iterdir())
    done = subprocess.run([sys.executable, "-c", PHOTO, *map(str, files)], capture_output=True, text=True)
    *said, memory = done.stdout.split("\n")[:-1]
    assert dict(zip([f.name for f in files], said, strict=True)) == {
        "claims.gif": "refused",
        "claims.png": "refused",
        "none.jpg": "refused",
        "png-RGBA-6000.png": "good",
        "png-1-9000.png": "refused",
        "gif-L-5000.gif": "good",
        "webp-RGB-2500.webp": "good",
        "jpeg-L-9000.jpeg": "good",
    }, done.stderr
    assert int(memory) < 700


OVERGROWN = {
    "dots": "a." * 100_000 + "a = 1",
    "dots in a head": "[" + "a." * 100_000 + "a]",
    "brackets": "a = " + "[" * 100_000,
    "braces": "a = " + "{a=" * 100_000,
    "brackets over lines": "a = " + "[\n" * 100_000,
}


@pytest.mark.parametrize("text", OVERGROWN.values(), ids=list(OVERGROWN))
def test_a_text_that_would_take_all_memory_is_refused_before_it_is_read(text):
    """The standard reader of TOML takes gigabytes for the first of these; the line is told."""
    with pytest.raises(BadInput, match=r"sheet, line \d+: too many brackets or names"):
        sheet_toml.from_toml(text)


def test_what_looks_overgrown_and_is_not():
    """In texts and comments anything may stand, and numbers have dots."""
    for text in (
        'a = "' + "." * 99 + "[" * 99 + '"',
        "# " + "a." * 99,
        "'''\n" + "[\n" * 99 + "'''",
        "a = [" + "1.5, " * 99 + "]",
    ):
        assert toml_outline.overgrown(text) is None


def test_a_sheet_of_more_values_than_any_machine_is_refused():
    """Each value is looked at with every other."""
    text = "\n".join(f'[load.l{n}]\npower = "12 W"' for n in range(sheet_toml.MOST_VALUES + 1))
    with pytest.raises(BadInput, match="more than 2000 values"):
        sheet_toml.from_toml(text)


def test_a_message_is_short():
    """Whatever was typed."""
    assert len(str(GalebookError("x" * HUGE, "y" * HUGE))) < hostile.LONGEST_MESSAGE + 100
