"""Make the job of an order for a worker: its settings, its names, its art."""

from collections.abc import Callable
from dataclasses import replace

from watcher.archive.archived import read_archived
from watcher.archive.bring_art import bring_art
from watcher.archive.effective_settings import EffectiveSettings, settings_now
from watcher.archive.partner import earlier_findings
from watcher.archive.repeat import plan_repeat
from watcher.archive.same_art import order_fingerprint
from watcher.disk import sha256_of
from watcher.errors import OrderHeld
from watcher.orders.claim import taking_folder
from watcher.orders.model import Order, Repeat
from watcher.outbox.product import building_folder
from watcher.service.shop import Shop
from watcher.settings.card import CardSettings
from watcher.terms import Side
from watcher.work.job import Job, job_for


def job_for_order(order: Order, shop: Shop, name_for: Callable[[Order], str]) -> Job:
    """Make the job of an order with art of its own.

    Args:
        order: with art of its own.
        shop: settings, folders and journal.
        name_for: gives a free name for its folder.

    Raises:
        OrderHeld: its card or sheet is gone from the settings, or the common art of the card cannot be read.
    """
    settings = shop.settings
    wishes = order.wishes
    card = settings.cards.get(wishes.card)
    if card is None or (wishes.sheet and wishes.sheet not in settings.sheets):
        raise OrderHeld(
            f"The card {wishes.card} or the sheet {wishes.sheet} is no longer in the settings. Put it back there, or"
            " move the art into the folder of another card."
        )
    made_with = settings_now(settings, card, settings.sheet_for(card, wishes.sheet))
    art = order_fingerprint(order, card, _common_digests(card))
    job = _job(order, shop, made_with, name_for(order), art)
    shown, day = _first_made(art, shop) or (job.name, job.made_at[:10])
    said = tuple(earlier_findings(order))
    return replace(job, shown=shown, date=day, common=tuple(card.common_art.items()), said=said)


def job_for_repeat(order: Order, repeat: Repeat, shop: Shop, name_for: Callable[[Order], str]) -> tuple[Order, Job]:
    """Make the job of a repeat, and put the archived art beside its ticket; also gives the order with that art.

    Args:
        order: the ticket that asks for it.
        repeat: what it asks for.
        shop: settings and folders.
        name_for: gives a free name for its folder.

    Raises:
        OrderHeld: there is no such order, or it cannot be made with the settings of now or of then.
    """
    again = plan_repeat(order, repeat, shop.settings, shop.archive)
    folder = taking_folder(shop.archive, order.number)
    bring_art(again.found, shop.archive, folder, {file.name for file in order.files})
    job = _job(again.order, shop, again.settings, name_for(again.order), again.sha256)
    return again.order, replace(
        job,
        shown=again.found.printed_as,
        date=again.found.printed_on,
        repeat_of=again.found.first,
        sheets_only=again.sheets_only,
        said=again.said,
    )


def _job(order: Order, shop: Shop, made_with: EffectiveSettings, name: str, art: str) -> Job:
    """Make the job of an order as if for the first time, without common art."""
    job = job_for(order, made_with, taking_folder(shop.archive, order.number), shop.stamp())
    return replace(
        job,
        building=building_folder(shop.archive, order.number),
        name=name,
        shown=name,
        order_sha256=art,
        read_back=shop.settings.service.read_back,
    )


def _first_made(art: str, shop: Shop) -> tuple[str, str] | None:
    """Name and day of the first making of this art, as they stand on its sheets; None when this is the first."""
    made = shop.journal.finished_with_fingerprint(art)
    if not made:
        return None
    kept = read_archived(shop.archive / made[-1].folder)
    return (kept.printed_as, kept.printed_on) if kept else (made[-1].folder, made[-1].since[:10])


def _common_digests(card: CardSettings) -> dict[Side, str]:
    """The SHA-256 of the common art of a card, by side.

    Raises:
        OrderHeld: it cannot be read.
    """
    digests = {}
    for side, path in card.common_art.items():
        try:
            digests[side] = sha256_of(path)
        except OSError as error:
            raise OrderHeld(
                f"The common {side} of the card {card.name} cannot be read: {path}. Put it there, or correct"
                f" cards.{card.name}.common_{side} in the settings, and try again."
            ) from error
    return digests
