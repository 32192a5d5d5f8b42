"""Pieces of the tests of orders with several designs: files to drop, and what a plan made of them."""

from watcher.orders.model import Planned


def pieces_of(plan: Planned) -> list[tuple[int, str, str, int | None]]:
    """Each piece: design, side, file, page."""
    return [(piece.design, str(piece.side), piece.found.shown, piece.page) for piece in plan.pieces]


def numbers_of(plan: Planned) -> list[int]:
    return sorted({piece.design for piece in plan.pieces})


def zip_of_pngs(make, *names: str, **more: bytes) -> bytes:
    return make.packed({name: make.png(name) for name in names} | more)


def pair_names(*numbers: int, of: str = "spring") -> list[str]:
    return [f"{of}_{number:02d}_{side}.png" for number in numbers for side in ("front", "back")]
