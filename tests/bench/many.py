"""Many orders at once: `python tests/bench/many.py [--orders 10 100 1000] [--workers 1 2] [--soak N] [--only PART]`.

Small art, so that what is measured is the way of an order through the service and not its pixels:

    drop        N orders dropped at once: seconds and processor time an order, memory of the service and of its workers
    ignored     a look at an inbox that holds 10,000 files that are none of ours, beside a bare walk over them
    urgent      an order that says `now = true` dropped behind 1,000: how many others are delivered before it
    latency     from the last byte written to delivery: without quiet time; with quiet = 1 s, moved in and seen growing
    cluster     the same orders made here and by a Dask cluster on this machine, two workers each
    idle        processor time of the service while nothing happens, a share of the clock
    wide        two workers beside one, with art of full size, and what two processes that only decode it gain over one
    large       two sides of 60 million pixels: the most memory a worker has in use, and seconds
    soak        N orders in batches, spread over some time: memory, open files, the journal and temporary files
"""

import argparse
import multiprocessing
import os
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import tomli_w
from bench_art import draw_pair, small_png
from bench_shop import BenchShop
from compare import Pair, decode, machine
from meters import Cost, cpu_of, forget_peak, measure, memory_mb, open_handles, peak_mb, peak_of_tasks

from tests.local_cluster import LocalCluster

IGNORED = 10_000
BEHIND = 1_000
BATCH = 25
WIDE, LARGE = ("photo-png", "flat-png", "jpeg"), ("photo-png", "alpha-png", "jpeg")
SIXTY_MILLION = (6594, 9106)

Measured = dict[str, object]


def drop_orders(shop: BenchShop, first: int, count: int) -> None:
    """Put so many small orders into the inbox."""
    for number in range(first, first + count):
        for side in (0, 1):
            aside = shop.folder / f"{number}.part"
            aside.write_bytes(small_png(2 * number + side))
            aside.rename(shop.inbox / f"o{number}_{'back' if side else 'front'}.png")


def many(folder: Path, count: int, workers: int) -> Measured:
    """So many orders dropped at once."""
    shop = BenchShop(folder, workers=workers, read_back="false")
    try:
        drop_orders(shop, 0, 2 * workers)
        shop.run_until(lambda: shop.service.making.made == 2 * workers)  # libraries are loaded
        forget_peak(os.getpid())
        drop_orders(shop, 1000, count)
        before, begun = shop.service.making.made, cpu_of(os.getpid())
        cost = measure(lambda: shop.run_until(lambda: shop.service.making.made == before + count), lambda: shop.workers)
        return {
            "orders": count,
            "workers": workers,
            "ms_an_order": round(cost.wall_s / count * 1000, 1),
            "cpu_ms_an_order": round(cost.cpu_s / count * 1000, 1),
            "service_cpu_ms_an_order": round((cpu_of(os.getpid()) - begun) / count * 1000, 1),
            "service_peak_mb": round(peak_mb(os.getpid())),
            "worker_mb": round(max(map(memory_mb, shop.workers))),
        }
    finally:
        shop.close()


def wide(folder: Path, kind: str, read_back: str, count: int = 60) -> Measured:
    """Two workers beside one; and two processes that do nothing but decode.

    One worker has work for more than one core: its threads look at the sheets and write files meanwhile. So one is
    measured on a single core too.
    """
    folder.mkdir(parents=True)
    pair = draw_pair(kind, folder)
    on_one_core = _made_by(folder / "core", pair, 1, read_back, count, cores=1)
    one, two = (_made_by(folder / f"{workers}", pair, workers, read_back, count) for workers in (1, 2))
    alone = {hands: _decoded_by(pair, hands, count) for hands in (1, 2)}
    costs = {"one_core": on_one_core, "one_worker": one, "two_workers": two}
    return {
        "art": kind,
        "read_back": read_back,
        **{f"ms_an_order_of_{name}": round(cost.wall_s / count * 1000, 1) for name, cost in costs.items()},
        **{f"cpu_ms_an_order_of_{name}": round(cost.cpu_s / count * 1000, 1) for name, cost in costs.items()},
        "two_over_one": round(one.wall_s / two.wall_s, 2),
        "two_over_one_core": round(on_one_core.wall_s / two.wall_s, 2),
        "two_over_one_of_decoding_alone": round(alone[1] / alone[2], 2),
    }


def _made_by(folder: Path, pair: Pair, workers: int, read_back: str, count: int, cores: int | None = None) -> Cost:
    all_cores = os.sched_getaffinity(0)
    os.sched_setaffinity(0, set(sorted(all_cores)[:cores]))  # which its workers take over
    shop = BenchShop(folder, workers=workers, read_back=read_back)

    def drop(first: int, many: int) -> None:
        for number in range(first, first + many):
            shop.drop(
                {f"o{number}_{side}{file.suffix}": file for side, file in zip(("front", "back"), pair, strict=True)}
            )

    try:
        drop(0, 2 * workers)
        shop.run_until(lambda: shop.service.making.made == 2 * workers)  # libraries are loaded
        drop(1000, count)
        os.sync()
        all_made = 2 * workers + count
        return measure(lambda: shop.run_until(lambda: shop.service.making.made == all_made), lambda: shop.workers)
    finally:
        shop.close()
        os.sched_setaffinity(0, all_cores)


def _decoded_by(pair: Pair, hands: int, count: int) -> float:
    """Seconds in which so many processes decode a pair so many times, all together."""
    with multiprocessing.get_context("spawn").Pool(hands) as pool:
        pool.map(_decode, [pair] * hands, chunksize=1)
        return measure(lambda: pool.map(_decode, [pair] * count, chunksize=1)).wall_s


def _decode(pair: Pair) -> None:
    decode(pair, Path())


def large(folder: Path, kind: str) -> Measured:
    """Two sides of 60 million pixels."""
    folder.mkdir(parents=True)
    pair = draw_pair(kind, folder, SIXTY_MILLION)
    shop = BenchShop(folder / "shop", read_back="true")
    try:
        drop_orders(shop, 0, 1)
        shop.run_until(lambda: shop.service.making.made == 1)  # libraries are loaded
        shop.drop({f"large_{side}{file.suffix}": file for side, file in zip(("front", "back"), pair, strict=True)})
        workers = shop.workers
        with peak_of_tasks(lambda: workers) as peak:
            cost = measure(lambda: shop.make("large"))
        bytes_of_art = sum(file.stat().st_size for file in pair)
        return {
            "art": kind,
            "art_mb": round(bytes_of_art / 1e6),
            "worker_peak_mb": round(peak[0]),
            "seconds": round(cost.wall_s, 1),
        }
    finally:
        shop.close()


def ignored(folder: Path) -> Measured:
    """A look at an inbox full of what is none of ours."""
    shop = BenchShop(folder)
    try:
        for number in range(IGNORED):
            (shop.inbox / f".of-somebody-{number}.tmp").touch()
        shop.service.step(time.monotonic())
        looks, walks = [], []
        for _ in range(7):
            shop.service.wake()
            shop.service.wait()
            looks.append(measure(lambda: shop.service.step(time.monotonic() + 3600)))
            walks.append(measure(lambda: [entry.lstat() for entry in shop.inbox.iterdir()]))
        return {
            "files": IGNORED,
            "look_ms": round(sorted(cost.wall_s for cost in looks)[3] * 1000, 1),
            "look_cpu_ms": round(sorted(cost.cpu_s for cost in looks)[3] * 1000, 1),
            "walk_ms": round(sorted(cost.wall_s for cost in walks)[3] * 1000, 1),
        }
    finally:
        shop.close()


def urgent(folder: Path) -> Measured:
    """An order wanted now, dropped while many are being made."""
    shop = BenchShop(folder, workers=2, read_back="false", events="native")
    try:
        drop_orders(shop, 0, BEHIND)
        shop.run_until(lambda: shop.service.making.made >= 20)
        (shop.inbox / "urgent.toml").write_text("now = true\n")
        before, begun = shop.service.making.made, time.monotonic()
        for side in ("front", "back"):
            (shop.folder / "part").write_bytes(small_png(40_000 + len(side)))
            (shop.folder / "part").rename(shop.inbox / f"urgent_{side}.png")
        shop.run_until(lambda: shop.made("urgent"), wake=False)
        return {
            "behind": BEHIND,
            "delivered_before_it": shop.service.making.made - before - 1,
            "seconds": round(time.monotonic() - begun, 2),
        }
    finally:
        shop.close()


def latency(folder: Path) -> Measured:
    """From the last byte written to delivery."""
    said: Measured = {}
    for way, quiet in (("no_quiet", "0 s"), ("moved", "1 s"), ("growing", "1 s")):
        shop = BenchShop(folder, read_back="true", events="native", quiet=quiet)
        try:
            waits = []
            for number in range(8):
                time.sleep(1)  # the events of the order before are through: the library holds those of what goes back
                waits.append(_wait_for(shop, f"o{number}", grows=way == "growing"))
            said[f"{way}_ms"] = round(sorted(waits[1:])[3] * 1000)  # the first one loads libraries
        finally:
            shop.close()
    return said


def _wait_for(shop: BenchShop, name: str, *, grows: bool) -> float:
    for number, side in enumerate(("front", "back")):
        art = small_png(int(name[1:]) * 2 + number)
        (shop.folder / "part").write_bytes(art[:-20] if grows else art)
        (shop.folder / "part").rename(shop.inbox / f"{name}_{side}.png")
        if grows:
            shop.run_until(lambda count=number: len(shop.service.looked.waiting) > count)
            with (shop.inbox / f"{name}_{side}.png").open("ab") as file:
                file.write(art[-20:])
    begun = time.monotonic()
    shop.run_until(lambda: shop.made(name), wake=False)
    return time.monotonic() - begun


def cluster(folder: Path, count: int = 100) -> Measured:
    """The same orders made here and on a cluster, which costs packing, two ways over the network and unpacking."""
    folder.mkdir()
    dask = LocalCluster(folder)
    try:
        more = f'engine = "dask"\nscheduler = "{dask.address}"'
        costs = {way: _cost(folder / "shop", count, lines) for way, lines in (("here", ""), ("cluster", more))}
    finally:
        dask.stop()
    said = {f"{way}_ms_an_order": round(cost.wall_s / count * 1000, 1) for way, cost in costs.items()}
    cpu = {f"{way}_service_cpu_ms_an_order": round(cost.cpu_s / count * 1000, 1) for way, cost in costs.items()}
    return {"orders": count, **said, **cpu}


def _cost(folder: Path, count: int, more: str) -> Cost:
    """What so many orders take this service, and by the clock; `more`: lines of the settings."""
    shop = BenchShop(folder, workers=2, read_back="false", more=more)
    try:
        drop_orders(shop, 0, 8)
        shop.run_until(lambda: shop.service.making.made == 8)  # libraries are loaded
        drop_orders(shop, 1000, count)
        return measure(lambda: shop.run_until(lambda: shop.service.making.made == 8 + count))
    finally:
        shop.close()


def idle(folder: Path, seconds: float) -> Measured:
    """The service with an empty inbox and its usual rescan."""
    shop = BenchShop(folder)
    try:
        ends, begun = time.monotonic() + seconds, cpu_of(os.getpid())
        while time.monotonic() < ends:
            shop.service.wait()
            shop.service.step(time.monotonic())
        return {"seconds": seconds, "share": round((cpu_of(os.getpid()) - begun) / seconds, 5)}
    finally:
        shop.close()


def soak(folder: Path, count: int, over_s: float) -> Iterator[Measured]:
    """Orders in batches, spread over some time, collected as they come: what there is after a tenth and at the end."""
    shop = BenchShop(folder, workers=2, read_back="false")
    begun = time.monotonic()
    try:
        for first in range(0, count, BATCH):
            comes = begun + over_s * first / count
            shop.run_until(lambda comes=comes: time.monotonic() >= comes, wake=False)
            drop_orders(shop, first, min(BATCH, count - first))
            goal = min(first + BATCH, count)
            shop.run_until(lambda goal=goal: shop.service.making.made >= goal)
            for number in range(first, goal):
                for file in (shop.outbox / f"o{number}").iterdir():
                    file.unlink()
                (shop.outbox / f"o{number}").rmdir()
            if goal in (count // 10 // BATCH * BATCH or BATCH, count):
                yield {"minutes": round((time.monotonic() - begun) / 60, 1), **_state(shop, goal)}
    finally:
        shop.close()


def _state(shop: BenchShop, made: int) -> Measured:
    hidden = [path for folder in (shop.inbox, shop.outbox, shop.folder / "archive") for path in folder.glob(".*")]
    return {
        "made": made,
        "service_mb": round(memory_mb(os.getpid()), 1),
        "worker_mb": round(max(map(memory_mb, shop.workers)), 1),
        "handles": open_handles(os.getpid()),
        "journal_kb": round(sum(file.stat().st_size for file in (shop.folder / "state").glob("*journal*")) / 1000),
        "temporary": len(hidden),
    }


def main() -> None:
    """Measure, print, write."""
    said = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    said.add_argument("--orders", type=int, nargs="*", default=[10, 100, 1000])
    said.add_argument("--workers", type=int, nargs="*", default=[1, 2])
    said.add_argument("--idle", type=float, default=60.0, help="seconds")
    said.add_argument("--soak", type=int, default=300)
    said.add_argument("--over", type=float, default=0.0, help="seconds that the orders of the soak are spread over")
    said.add_argument("--only", help="one part alone, as named above")
    said.add_argument("--toml", type=Path)
    told = said.parse_args()
    body: dict[str, object] = {"machine": machine()}
    parts: dict[str, Callable[[Path], object]] = {
        "drop": lambda at: [many(at, count, workers) for count in told.orders for workers in told.workers],
        "ignored": ignored,
        "urgent": urgent,
        "latency": latency,
        "cluster": cluster,
        "idle": lambda at: idle(at, told.idle),
        "wide": lambda at: [wide(at / f"{kind}-{said}", kind, said) for kind in WIDE for said in ("false", "true")],
        "large": lambda at: [large(at / kind, kind) for kind in LARGE],
        "soak": lambda at: list(soak(at, told.soak, told.over)),
    }
    if told.only not in (None, *parts):
        said.error(f"no part is called {told.only}")
    with tempfile.TemporaryDirectory() as name:
        for part, run in parts.items():
            if told.only in (None, part):
                body[part] = run(Path(name) / part)
    text = tomli_w.dumps(body)
    print(text)  # noqa: T201 - a table is its purpose
    if told.toml:
        told.toml.write_text(text)


if __name__ == "__main__":
    main()
