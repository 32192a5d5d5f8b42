"""Ten years of orders: `python tests/bench/archive.py [--archived N] [--outbox N] [--few N] [--keep DIR]`.

A print folder with a few archived orders and one with many are grown from one order that was really made; each command
runs in a process of its own on both, in turn, and what counts is the ratio:

    first       the first start with that archive: everything in it is read once
    orders      the whole list, in a pipe
    search      `orders TEXT`
    repeat      of one order, and making it
    status      what waits, is held, is finished
    start       a start with nothing to do (`once`), which writes the page
    lost        a start after the folder `state` was lost
"""

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import tomli_w
from bench_art import small_png
from bench_shop import SETTINGS
from compare import machine

ROOT = Path(__file__).parents[2]
USUAL = {"workers": 1, "read_back": "false", "trim": "5 x 7 in", "bleed": "0.125 in", "sheet": "letter"}
USUAL |= {"quiet": "0 s", "events": "polling", "more": ""}
ROUNDS = 3

Measured = dict[str, object]


# a process begins with the memory of the one that starts it, so a small one does: getrusage(2)
LAUNCH = (
    "import os, subprocess, sys\n"
    "process = subprocess.Popen(sys.argv[1:], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)\n"
    "_, _, used = os.wait4(process.pid, 0)\n"
    "print(used.ru_utime + used.ru_stime, used.ru_maxrss / 1000)\n"
)


def run(folder: Path, *words: str) -> tuple[float, float, float]:
    """Run a command in a process of its own; gives seconds by the clock, of processor time, and the most memory, MB."""
    command = [sys.executable, "-m", "watcher", *words, "--settings", str(folder / "settings.toml")]
    begun = time.perf_counter()
    ran = subprocess.run(
        [sys.executable, "-S", "-c", LAUNCH, *command], cwd=ROOT, capture_output=True, text=True, check=True
    )
    cpu_s, memory = ran.stdout.split()
    return time.perf_counter() - begun, float(cpu_s), float(memory)


def grow(folder: Path, archived: int, in_outbox: int) -> None:
    """Make one order, and copy it in the archive, and into the outbox, under other names and days.

    As a backup put back or another computer's archive comes: the program knows nothing of them.
    """
    (folder / "inbox").mkdir(parents=True)
    (folder / "settings.toml").write_text(SETTINGS.format(**USUAL))
    for number, side in enumerate(("front", "back")):
        (folder / f"inbox/first_{side}.png").write_bytes(small_png(number))
    run(folder, "once")
    for number in range(archived):
        copy(folder / "archive/first", f"order-{number:05d}", number, art=True)
    for number in range(archived - min(in_outbox, archived), archived):
        copy(folder / "outbox/first", f"order-{number:05d}", number, art=False)


def copy(first: Path, name: str, number: int, *, art: bool) -> None:
    """Copy a folder of the first order under another name; its large files as links."""
    folder = first.parent / name
    folder.mkdir()
    day = f"{2016 + number % 10}-{1 + number // 10 % 12:02d}-{1 + number // 120 % 28:02d}"
    for file in first.iterdir():
        if file.name == "first_ticket.toml":
            text = file.read_text().replace('order = "first"', f'order = "{name}"').replace('"first"', f'"{name}"')
            made = next(line for line in text.splitlines() if line.startswith("made_at = "))
            (folder / f"{name}_ticket.toml").write_text(text.replace(made, f'made_at = "{day}{made[21:]}'))
        else:
            os.link(file, folder / (file.name if art else file.name.replace("first_", f"{name}_")))


def compare(many: Path, few: Path) -> Measured:
    """Run every command on both folders in turn."""
    said: Measured = {"first": _ratio([(run(many, "once"), run(few, "once"))])}
    commands = {
        "orders": ("orders",),
        "search": ("orders", "order-00007"),
        "repeat": ("repeat", "order-00007", "--quantity", "1"),
        "status": ("status",),
        "start": ("once",),
    }
    for name, words in commands.items():
        said[name] = _ratio([(run(many, *words), run(few, *words)) for _ in range(ROUNDS)])
    for folder in (many, few):
        shutil.rmtree(folder / "state")
    return said | {"lost": _ratio([(run(many, "once"), run(few, "once"))])}


def _ratio(runs: list[tuple[tuple[float, float, float], tuple[float, float, float]]]) -> Measured:
    """Of the quickest of some runs: a busy machine makes none quicker."""
    many, few = (tuple(min(one[which][what] for one in runs) for what in range(3)) for which in (0, 1))
    return {
        "seconds": round(many[0], 2),
        "cpu_s": round(many[1], 2),
        "mb": round(many[2]),
        "cpu_to_few": round(many[1] / few[1], 2),
        "mb_to_few": round(many[2] / few[2], 2),
    }


def main() -> None:
    """Grow, measure, print, write."""
    said = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    said.add_argument("--archived", type=int, default=20_000)
    said.add_argument("--outbox", type=int, default=500)
    said.add_argument("--few", type=int, default=100)
    said.add_argument("--keep", type=Path, help="where the folders are grown, and stay")
    said.add_argument("--toml", type=Path)
    told = said.parse_args()
    with tempfile.TemporaryDirectory() as name:
        at = told.keep or Path(name)
        grow(at / "few", told.few, told.few)
        grow(at / "many", told.archived, told.outbox)
        text = tomli_w.dumps({"machine": machine(), "archived": told.archived, **compare(at / "many", at / "few")})
    print(text)  # noqa: T201 - a table is its purpose
    if told.toml:
        told.toml.write_text(text)


if __name__ == "__main__":
    main()
