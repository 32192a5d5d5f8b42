"""Write the journal, late where it must be; pause while disk, rights or mounts stand in the way."""

from loguru import logger

from watcher.orders.model import Order
from watcher.records.journal import Entry
from watcher.records.order_life import State
from watcher.records.plain_text import one_line
from watcher.records.trouble import is_for_want_of_room, say_trouble
from watcher.service.pauses import Part, Patience
from watcher.service.shop import Shop

WORKER_DEATHS = 2  # art over which so many workers break down is held


class JournalWriting:
    """The journal as it is written while orders are made. What cannot be written begins a pause and is written later.

    Attributes:
        pauses_begun: how often something stood in the way since the start.
    """

    def __init__(self, shop: Shop) -> None:
        self._shop = shop
        self._unwritten: list[Entry] = []
        self._latest: dict[int, Entry] = {}
        self._patience = Patience([shop.outbox, shop.archive, shop.held, shop.state])
        self.pauses_begun = 0

    # -- entries ---------------------------------------------------------------------------------------------------

    def latest(self, number: int) -> Entry | None:
        """Give the latest entry of an order that has not ended, written already or not."""
        return self._latest.get(number)

    def state_of(self, number: int) -> State | None:
        """Give the state of an order that has not ended."""
        entry = self._latest.get(number)
        return entry.state if entry else None

    def recall(self, entry: Entry) -> None:
        """Take over what the journal says of an order that was not ended when the service stopped."""
        self._latest[entry.number] = entry

    def entry(
        self,
        order: Order,
        state: State | None,
        *,
        folder: str = "",
        art: str = "",
        sheets: int = 0,
        says: str = "",
        run: str = "",
    ) -> Entry:
        """Give the entry of an order as of now; the arguments are those of `Entry`."""
        assert state is not None
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
        self._latest[entry.number] = entry

    def remember(self, entry: Entry) -> None:
        """Write a state that may be written late: what it tells can be seen from the folders too."""
        self._latest[entry.number] = entry
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

    def forget(self, number: int) -> None:
        """Remove an order that went back to the inbox untouched.

        Raises:
            OSError: it cannot be removed now.
        """
        self._shop.journal.forget(number)
        self.end(number)

    def end(self, number: int) -> None:
        """Forget an order that has ended; its entry stays in the journal."""
        self._latest.pop(number, None)

    def count_worker_death(self, what: str, name: str, how: str) -> int:
        """Count a worker's death, across restarts too; after `WORKER_DEATHS` the count begins anew.

        Args:
            what: fingerprint of what it was at work on.
            name: for people.
            how: how it died.
        """
        logger.error("{name} broke a worker: {how}", name=one_line(name), how=one_line(how))
        deaths = self._shop.journal.count_worker_death(what)
        if deaths >= WORKER_DEATHS:
            self._shop.journal.clear_deaths(what)
        return deaths

    # -- pauses ----------------------------------------------------------------------------------------------------

    def pause(self, error: OSError) -> None:
        """Begin a pause, or go on with it: nothing can be made for this reason."""
        self.pauses_begun += 1
        self._shop.pauses.begin(Part.MAKING, say_trouble(error))
        self._patience.begin(for_want_of_room=is_for_want_of_room(error))

    def go_on(self) -> None:
        """End a pause, as something has gone well, unless the journal has not been written yet."""
        if not self._unwritten:
            self._patience.end()
            self._shop.pauses.end(Part.MAKING)

    def is_time_to_try(self) -> bool:
        """Whether to see now if a pause is over."""
        return self._patience.is_time()

    def next_try_in(self) -> float:
        """Seconds until that is worth asking again."""
        return self._patience.next_in()
