"""How long commands take, beside the least that a Typer program could do, in one run. Medians of whole processes.

Run it with the environment's Python: ``.venv/bin/python tests/bench/commands.py [ROUNDS]``
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]

BARE = """
import typer
app = typer.Typer()
@app.command()
def one(x: int):
    "Do one thing."
@app.command()
def two(x: int):
    "Do another."
app()
"""

INSERT = """
import typer
from sqlmodel import Field, Session, SQLModel, create_engine
class Note(SQLModel, table=True):
    id: int | None = Field(default=None, primary_key=True)
    text: str
app = typer.Typer()
@app.command()
def add(path: str, text: str):
    engine = create_engine(f"sqlite:///{path}")
    SQLModel.metadata.create_all(engine)
    with Session(engine) as session:
        session.add(Note(text=text))
        session.commit()
app()
"""


def main(rounds: int) -> None:
    """Time each command in turn, round by round, so that a busy moment hits all of them alike."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "bare.py").write_text(BARE)
        (folder / "insert.py").write_text(INSERT)
        env = {
            **os.environ,
            "GALEBOOK_JOURNAL": str(folder / "demo" / "demo.db"),
            "GALEBOOK_CACHE": str(folder / "verdicts"),
            "PYTHONPATH": str(ROOT),
            "PYTHONPYCACHEPREFIX": str(folder / "compiled"),
        }
        env.pop("PYTHONDONTWRITEBYTECODE", None)  # an installed program is compiled once, not at every start
        anew = {**env, "GALEBOOK_CACHE": str(folder / "bare.py" / "no folder")}
        galebook = [sys.executable, "-m", "journal"]
        subprocess.run([*galebook, "demo", str(folder / "demo")], check=True, env=env, capture_output=True)
        commands = {
            "bare Typer --help": [sys.executable, str(folder / "bare.py"), "--help"],
            "galebook --help": [*galebook, "--help"],
            "minimal Typer + SQLModel insert": [sys.executable, str(folder / "insert.py"), str(folder / "n.db"), "x"],
            "galebook attempt (one line, no units)": [*galebook, "attempt", "looked at it", "--outcome", "worked"],
            "galebook measure (with a unit)": [*galebook, "measure", "12.1 V", "battery.voltage", "--attempt", "A1"],
            "galebook check r2 (judged anew)": [*galebook, "check", "r2"],
            "galebook check r2 (verdict kept)": [*galebook, "check", "r2"],
            "galebook compare r1 r2 (one anew, one kept)": [*galebook, "compare", "r1", "r2"],
            "galebook writeup --for forum": [*galebook, "writeup", "--for", "forum"],
            "galebook writeup --for neighbour": [*galebook, "writeup", "--for", "neighbour"],
            "galebook writeup --for workshop": [*galebook, "writeup", "--for", "workshop"],
        }
        times: dict[str, list[float]] = {label: [] for label in commands}
        for _ in range(rounds):
            for label, command in commands.items():
                began = time.perf_counter()
                own = anew if "judged anew" in label else env
                done = subprocess.run(command, env=own, capture_output=True, check=False)
                times[label].append(time.perf_counter() - began)
                if done.returncode not in (0, 3):
                    sys.exit(f"{label} failed: {done.stderr.decode()}")
    medians = {label: statistics.median(taken) for label, taken in times.items()}
    help_, insert = medians["bare Typer --help"], medians["minimal Typer + SQLModel insert"]
    for label, median in medians.items():
        base = help_ if "--help" in label else insert
        print(f"{label:44} {1000 * median:6.0f} ms   {median / base:4.2f} x its base")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 15)
