"""What the journal is told, late where it must be, and the pause while disk, rights or mounts stand in the way."""

from loguru import logger

from watcher.orders.model import Order
from watcher.records.journal import Entry, State
from watcher.records.plain_text import one_line
from watcher.records.trouble import is_for_want_of_room, say_trouble
from watcher.service.pauses import Part, Patience
from watcher.service.shop import Shop

_TRIES = 2  # a file that breaks its worker twice is set aside


class Book:
    """The journal as it is kept while orders are made; what cannot be written begins a pause and is written later."""

    def __init__(self, shop: Shop) -> None:
        self._shop = shop
        self._unwritten: list[Entry] = []
        self._patience = Patience([shop.outbox, shop.archive, shop.held, shop.state])

    # -- entries ---------------------------------------------------------------------------------------------------

    def entry(
        self,
        order: Order,
        state: State,
        *,
        folder: str = "",
        art: str = "",
        sheets: int = 0,
        says: str = "",
        run: str = "",
    ) -> Entry:
        """What is to be said of an order now; the arguments are those of `Entry`."""
        return Entry(
            number=order.number,
            name=order.name,
            key=order.key,
            card=order.wishes.card,
            state=state,
            since=self._shop.stamp(),
            folder=folder,
            art=art,
            sheets=sheets,
            says=says,
            run=run,
        )

    def write(self, entry: Entry) -> None:
        """Write a state without which the order must not be gone on with.

        Raises:
            OSError: it cannot be written now.
        """
        self._shop.journal.write(entry)

    def remember(self, entry: Entry) -> None:
        """Write a state that may be written late: what it tells can be seen from the folders too."""
        self._unwritten.append(entry)
        try:
            self.write_late()
        except OSError as error:
            self.pause(error)

    def write_late(self) -> None:
        """Write what could not be written before.

        Raises:
            OSError: nor can it be now.
        """
        while self._unwritten:
            self._shop.journal.write(self._unwritten[0])
            self._unwritten.pop(0)

    def broke_again(self, what: str, name: str, how: str) -> bool:
        """Count a worker's death, across restarts too; whether it is enough.

        Args:
            what: fingerprint of what it was at work on.
            name: for people.
            how: how it died.
        """
        logger.error("{name} broke a worker: {how}", name=one_line(name), how=one_line(how))
        if self._shop.journal.count_worker_death(what) < _TRIES:
            return False
        self._shop.journal.forgive(what)
        return True

    # -- pauses ----------------------------------------------------------------------------------------------------

    @property
    def paused(self) -> str | None:
        """Why nothing can be made, or None."""
        return self._shop.pauses.why(Part.MAKING)

    def pause(self, error: OSError) -> None:
        """Nothing can be made for this reason."""
        self._shop.pauses.begin(Part.MAKING, say_trouble(error))
        self._patience.begin(for_want_of_room=is_for_want_of_room(error))

    def go_on(self) -> None:
        """Something has gone well: a pause is over, unless the journal is still to be told something."""
        if self.paused and not self._unwritten:
            self._patience.end()
            self._shop.pauses.end(Part.MAKING)

    def is_time_to_try(self) -> bool:
        """Whether to see now if a pause is over."""
        return self._patience.is_time()

    def next_try_in(self) -> float:
        """Seconds until that is worth asking again."""
        return self._patience.next_in()
