"""Our way beside plainer ones, on the same art in one run: `python tests/bench/compare.py [--rounds N] [--toml FILE]`.

Measured for each kind of art (a front and a back, 5 x 7 in with bleed at 300 ppi, drawn by code):

    floor       read both files, SHA-256, write, fsync
    decode      both sides decoded once, by Pillow (PDF art: each page rendered once by pdfium)
    drawimage   a plain script: both sides drawn at two places of a letter sheet with reportlab, written
    img2pdf     both files embedded as they are with img2pdf, written
    ours off    from a rested pair in the inbox to the delivered folder, `read_back = false`
    ours on     the same with `read_back = true`

The rounds go through all ways in turn, so that a busy machine slows all of them alike; the ratios are what counts. The
table holds medians: milliseconds by the clock / of processor time, the most memory in use, the size of the PDF. At the
end stand the figures that have a goal (`GOALS`), and the memory that two sides of 60 million pixels with alpha take.

Where the time goes, as measured when it was last tuned:

- Of 43 ms for a pair of JPEG: the service 8 (claim 5, delivery 3), reading it small 12, checks 6, drawing the sheet 4,
  instructions 4, reading the sheet back in numbers 2, writing 2. All but the reading are many small steps of Python
  that are the same whatever the art. Drawing while the art is still being decoded was tried: 1 to 5 ms.
- A PNG of 8 bits goes through `art/formats/png_bands.py` a few rows at a time: unpacked by isal, its filters undone by
  Pillow, reduced for the checks, packed again where it has alpha. A JPEG that passes through is read small. Both sides
  are opened at once, in two threads; PDF never, pdfium knows no threads.
- What a layout decides alone (places, marks, room for small print, drawings and tables of the instructions) is cached
  by layouts that remember their hash, so the number of cards on a sheet costs next to nothing.
- The sheets are checked by sight in a second thread while instructions and ticket are made. Two thirds of the check are
  pdfium unpacking each side once (`sheet/check/downscaled_art.py`).
- A worker keeps the memory that it has freed for the next order (half of the time of opening two JPEGs was page faults)
  and gives back what large art took. Two sides of 60 million pixels take 0.63 to 0.68 GB; they are opened one after the
  other, with which 0.73 became 0.68. With alpha the most is in use while pdfium reads one of them out of the finished
  file: the libraries 106 MB, the art packed again 192, the file 192, pdfium 226, as measured before that.
- A worker does each task in a copy of its process (fork). Each page of memory that both have is copied when the copy
  first writes to it: 10,000 for a pair of JPEG in numbers, a third of its time. So the copy for the next order is made
  while nothing waits, and goes the way of an order like the last one (`work/task_copy.py`, `work/warm_up.py`): of 125
  ms of processor time (beside other work on the machine) 95 are left to wait for, of 146 for a pair of PDF 107.
- Typefaces go into a PDF with the letters in use alone: a sheet carries 9.8 KB beside its art. Of that the typeface is
  2.5, what the pages draw 2.2, the colour profile 0.8, and 4.3 the rest: 26 small objects and their table. Object
  streams would take off about 1.8 by our sums, still no 2 % of a flat pair, and pypdf reads such a file more slowly.
- A pair of JPEG in numbers takes a worker 50 ms of processor time. Of these are reading it small 17, checks 9, drawing
  the sheet 14, instructions 11, reading back 7, the ticket 3. By sight 145 more: pdfium decoding 27, reducing 28,
  drawing 26, comparing 24, pictures packed 22. A pair of PDF takes 60: reading it 16, checks 10, drawing 18, reading
  back 6, instructions 7.
- What is written is flushed together, so an order waits for the disk once. A worker gets its next order before the one
  it has made is delivered.
"""

import argparse
import hashlib
import io
import multiprocessing
import os
import platform
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass, field
from functools import partial
from multiprocessing.connection import Connection
from pathlib import Path

import img2pdf
import pypdfium2
import tomli_w
from bench_art import KINDS, draw_pair
from bench_shop import BenchShop
from meters import Cost, forget_peak, measure, median, peak_mb, peak_of_tasks
from PIL import Image
from reportlab.lib.pagesizes import LETTER
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

Pair = tuple[Path, Path]
LAYOUTS = (
    ("2 on letter", "5 x 7 in", "0.125 in", "letter"),
    ("many on 13x19", "2.5 x 3.5 in", "0.0625 in", "13 x 19 in"),
)


NOT_BY_SCRIPTS = ("pdf", "jpeg-tiff", "lossy-webp")  # kinds of which the plain scripts draw none, or other pixels


@dataclass(frozen=True)
class Goal:
    """A figure that should stay below something: where it stands among the ratios."""

    layout: str
    kind: str
    ratio: str
    most: float


_FEW, _MANY = (layout[0] for layout in LAYOUTS)
_OFF, _ON, _SIZE = "off / (floor + decode)", "(on - off) / decode", "PDF / art"
GOALS = (
    Goal(_FEW, "jpeg", _OFF, 1.8),
    Goal(_FEW, "jpeg", _ON, 3.0),
    Goal(_FEW, "photo-png", _ON, 1.2),
    Goal(_MANY, "jpeg", _ON, 3.0),
    Goal(_MANY, "photo-png", _ON, 1.2),
    Goal(_FEW, "pdf", _OFF, 3.0),
    Goal(_FEW, "flat-png", _SIZE, 1.02),
    Goal(_FEW, "jpeg-tiff", _SIZE, 1.1),
)
LARGE_KIND, LARGE_MOST_MB = "alpha-png", 700


@dataclass
class Row:
    """What was measured of one way with one kind of art."""

    kind: str
    way: str
    costs: list[Cost] = field(default_factory=list)
    peak_mb: float = 0.0
    pdf_bytes: int = 0
    art_bytes: int = 0


# -- the plain ways ----------------------------------------------------------------------------------------------------


def floor(pair: Pair, out: Path) -> None:
    """Read, hash, write, fsync: nothing that keeps art safe can cost less."""
    for file in pair:
        data = file.read_bytes()
        hashlib.sha256(data).hexdigest()
        _write(out.with_suffix(file.suffix), data)


def decode(pair: Pair, out: Path) -> None:
    """Both sides' pixels, once."""
    for file in pair:
        if file.suffix == ".pdf":
            with closing(pypdfium2.PdfDocument(file)) as document, closing(document[0]) as page:
                page.render(scale=1).close()
        else:
            with Image.open(file) as picture:
                picture.load()


def drawimage(pair: Pair, out: Path) -> None:
    """What one writes first: each side at two places of a page."""
    canvas = Canvas(str(out), pagesize=LETTER)
    for file in pair:
        for y in (396, 0):
            canvas.drawImage(ImageReader(str(file)), 36, y, 540, 391)
        canvas.showPage()
    canvas.save()


def embedded(pair: Pair, out: Path) -> None:
    """Both files as they are, a page each."""
    opaque = [_without_alpha(file) for file in pair]
    _write(out, img2pdf.convert(opaque))


def _without_alpha(file: Path) -> bytes:
    """img2pdf refuses alpha; its user saves the picture again without."""
    with Image.open(file) as picture:
        if picture.mode != "RGBA":
            return file.read_bytes()
        saved = io.BytesIO()
        picture.convert("RGB").save(saved, "PNG")
        return saved.getvalue()


def _write(file: Path, data: bytes) -> None:
    with file.open("wb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())


PLAIN: dict[str, Callable[[Pair, Path], None]] = {
    "floor": floor,
    "decode": decode,
    "drawimage": drawimage,
    "img2pdf": embedded,
}


class Hand:
    """A process that goes the plain ways, so that their memory is measured by itself like that of a worker."""

    def __init__(self) -> None:
        spawn = multiprocessing.get_context("spawn")
        self._pipe, theirs = spawn.Pipe()
        self._process = spawn.Process(target=_lend_a_hand, args=(theirs,), daemon=True)
        self._process.start()

    def go(self, way: str, pair: Pair, out: Path) -> tuple[Cost, float]:
        """Go a plain way once: what it took, the most memory in use."""
        self._pipe.send((way, pair, out))
        cost, peak = self._pipe.recv()
        return cost, peak

    def close(self) -> None:
        """End the process."""
        self._pipe.send(None)
        self._process.join()


def _lend_a_hand(pipe: "Connection") -> None:
    while (told := pipe.recv()) is not None:
        way, *where = told
        forget_peak(os.getpid())
        cost = measure(partial(PLAIN[way], *where))
        pipe.send((cost, peak_mb(os.getpid())))


# -- the rounds --------------------------------------------------------------------------------------------------------


class Bench:
    """All ways with all kinds of art, round by round."""

    def __init__(self, folder: Path, kinds: list[str], layout: tuple[str, str, str, str]) -> None:
        _, trim, bleed, sheet = layout
        (folder / "art").mkdir(parents=True)
        self._folder, self._hand, self._made = folder, Hand(), 0
        self._pairs = {kind: draw_pair(kind, folder / "art") for kind in kinds}
        self._shops = {
            f"ours {word}": BenchShop(folder / word, read_back=said, trim=trim, bleed=bleed, sheet=sheet)
            for word, said in (("off", "false"), ("on", "true"))
        }
        self.rows = {(kind, way): Row(kind=kind, way=way) for kind in kinds for way in (*PLAIN, *self._shops)}
        for (kind, _), row in self.rows.items():
            row.art_bytes = sum(file.stat().st_size for file in self._pairs[kind])

    def go_round(self, *, counts: bool) -> None:
        """One round; the first one only warms up."""
        for (kind, way), row in self.rows.items():
            if kind in NOT_BY_SCRIPTS and way in ("drawimage", "img2pdf"):
                continue
            if way not in self._shops:
                cost, peak, size = self._plainly(way, kind)
                row.peak_mb = max(row.peak_mb, peak) if counts else 0.0
            elif counts:
                cost, size = self._ours(way, kind)
            else:
                row.peak_mb, cost, size = self._watched(way, kind)
            if counts:
                row.costs.append(cost)
                row.pdf_bytes = size

    def _plainly(self, way: str, kind: str) -> tuple[Cost, float, int]:
        out = self._folder / f"{way}.pdf"
        cost, peak = self._hand.go(way, self._pairs[kind], out)
        return cost, peak, out.stat().st_size if way in ("drawimage", "img2pdf") else 0

    def _watched(self, way: str, kind: str) -> tuple[float, Cost, int]:
        """The round that does not count, with the most memory that its task has in use."""
        workers = self._shops[way].workers
        with peak_of_tasks(lambda: workers) as peak:
            cost, size = self._ours(way, kind)
        return peak[0], cost, size

    def _ours(self, way: str, kind: str) -> tuple[Cost, int]:
        shop, self._made = self._shops[way], self._made + 1
        name = f"{kind}-{self._made}"
        shop.drop({f"{name}_{file.stem.rsplit('_')[-1]}{file.suffix}": file for file in self._pairs[kind]})
        cost = measure(lambda: shop.make(name), lambda: shop.workers)
        sheets = shop.outbox / name / f"{name}_sheets.pdf"
        return cost, sheets.stat().st_size

    def close(self) -> None:
        """End all processes."""
        self._hand.close()
        for shop in self._shops.values():
            shop.close()


def lines(rows: dict[tuple[str, str], Row]) -> Iterator[str]:
    """The table, and below it the ratios that count."""
    yield f"{'art':>10} {'way':>10} {'ms clock':>9} {'ms cpu':>7} {'peak MB':>8} {'PDF KB':>7}"
    for row in rows.values():
        if row.costs:
            cost = median(row.costs)
            size = f"{row.pdf_bytes / 1000:7.0f}" if row.pdf_bytes else ""
            yield (
                f"{row.kind:>10} {row.way:>10} {cost.wall_s * 1000:9.0f} {cost.cpu_s * 1000:7.0f}"
                f" {row.peak_mb:8.0f} {size}"
            )
    for kind, said in ratios(rows).items():
        yield f"{kind:>10}: " + ", ".join(f"{name} {value:.3f}" for name, value in said.items())


def ratios(rows: dict[tuple[str, str], Row]) -> dict[str, dict[str, float]]:
    """For each kind of art how ours compares, each a median over rounds of the ratio within the round, by the clock."""
    found: dict[str, dict[str, float]] = {}
    for kind in dict.fromkeys(kind for kind, _ in rows):
        wall = {way: [cost.wall_s for cost in rows[kind, way].costs] for way in (*PLAIN, "ours off", "ours on")}
        cpu = {way: [cost.cpu_s for cost in rows[kind, way].costs] for way in wall}
        rounds = range(len(wall["ours off"]))
        said = {
            _OFF: [wall["ours off"][n] / (wall["floor"][n] + wall["decode"][n]) for n in rounds],
            "the same by processor time": [cpu["ours off"][n] / (cpu["floor"][n] + cpu["decode"][n]) for n in rounds],
            _ON: [(wall["ours on"][n] - wall["ours off"][n]) / wall["decode"][n] for n in rounds],
        }
        if wall["drawimage"]:
            said["drawimage / off"] = [wall["drawimage"][n] / wall["ours off"][n] for n in rounds]
            said["img2pdf / off"] = [wall["img2pdf"][n] / wall["ours off"][n] for n in rounds]
        found[kind] = {name: sorted(values)[len(values) // 2] for name, values in said.items()}
        row = rows[kind, "ours off"]
        found[kind][_SIZE] = row.pdf_bytes / row.art_bytes
    return found


def figures(tables: dict[str, dict[tuple[str, str], Row]]) -> Iterator[tuple[str, float, float]]:
    """Each figure that has a goal and was measured: its name, what it came to, the most that it should be."""
    found = {layout: ratios(rows) for layout, rows in tables.items()}
    for goal in GOALS:
        if goal.ratio in (said := found.get(goal.layout, {}).get(goal.kind, {})):
            yield f"{goal.layout}, {goal.kind}: {goal.ratio}", said[goal.ratio], goal.most


def machine() -> str:
    """What it was measured on."""
    names = [
        line.partition(":")[2].strip()
        for line in Path("/proc/cpuinfo").read_text().splitlines()
        if line.startswith("model name")
    ]
    return f"{names[0] if names else platform.machine()}, {os.cpu_count()} cores, Python {platform.python_version()}"


def as_toml(tables: dict[str, dict[tuple[str, str], Row]], rounds: int) -> str:
    """Everything that was measured."""
    body: dict[str, object] = {"machine": machine(), "rounds": rounds, "load": os.getloadavg()[0]}
    for layout, rows in tables.items():
        measured = [
            {
                "art": row.kind,
                "way": row.way,
                "wall_ms": round(median(row.costs).wall_s * 1000, 1),
                "cpu_ms": round(median(row.costs).cpu_s * 1000, 1),
                "peak_mb": round(row.peak_mb),
                "pdf_bytes": row.pdf_bytes,
                "art_bytes": row.art_bytes,
            }
            for row in rows.values()
            if row.costs
        ]
        body[layout] = {"rows": measured, "ratios": ratios(rows)}
    return tomli_w.dumps(body)


def main() -> None:
    """Measure, print, write."""
    said = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    said.add_argument("--rounds", type=int, default=7)
    said.add_argument("--kinds", nargs="*", default=list(KINDS), choices=list(KINDS))
    said.add_argument("--layouts", type=int, default=len(LAYOUTS), help="1: the first alone")
    said.add_argument("--large", action="store_true", help="measure the memory of large art too")
    said.add_argument("--toml", type=Path)
    told = said.parse_args()
    tables: dict[str, dict[tuple[str, str], Row]] = {}
    for number, layout in enumerate(LAYOUTS[: told.layouts]):
        with tempfile.TemporaryDirectory() as folder:
            bench = Bench(Path(folder) / str(number), told.kinds, layout)
            for count in range(told.rounds + 1):
                bench.go_round(counts=count > 0)
            bench.close()
        tables[layout[0]] = bench.rows
        print(f"\n{layout[0]}: {machine()}, {told.rounds} rounds")  # noqa: T201 - a table is its purpose
        for line in lines(bench.rows):
            print(line)  # noqa: T201
    print()  # noqa: T201
    for name, value, most in figures(tables):
        print(f"{name} {value:.3f}, goal {most}")  # noqa: T201
    if told.large:
        from many import large  # which measures with parts of this file

        with tempfile.TemporaryDirectory() as folder:
            measured = large(Path(folder) / "large", LARGE_KIND)
        print(f"two sides of 60 million pixels, {LARGE_KIND}: {measured['worker_peak_mb']} MB, goal {LARGE_MOST_MB}")  # noqa: T201
    if told.toml:
        told.toml.write_text(as_toml(tables, told.rounds))


if __name__ == "__main__":
    main()
