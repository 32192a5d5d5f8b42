"""`[service]`: how the inbox is watched, orders are made, and what is kept."""

from watcher.settings import fields
from watcher.settings.table import Table
from watcher.terms import Engine, Events, ReadableBy


class ServiceSettings(Table):
    """`[service]`: how the inbox is watched.

    Attributes:
        quiet: seconds a file must rest before it is taken.
        rescan: seconds between two looks at the whole inbox.
        wait_for_other_side: seconds that a front or back waits for its other side before it is held.
        give_up: seconds after its last change until an incomplete file is held.
        events: what reports changes in the inbox.
        workers: orders made at the same time.
        on_finished: a command and its arguments for each finished order; empty for none.
        keep: seconds for which the archive keeps an order for repeats, or None: for ever.
        keep_printed: seconds for which the folder of a printed order stays in the outbox.
        read_back: whether every finished sheet is rendered, compared with its art and shown in the preview.
        engine: where orders are made.
        scheduler: address of the scheduler of a Dask cluster, or None.
        money: what prices are in; empty where it is not said.
        readable_by: who else may read what is made.
        sync_marks: more names of files and folders by which the folder of a sync program is known.
    """

    quiet: fields.Seconds = 2.0
    rescan: fields.Seconds = 30.0
    wait_for_other_side: fields.Seconds = 15 * 60.0
    give_up: fields.Seconds = 10 * 60.0
    events: fields.EventsWord = Events.NATIVE
    workers: fields.Workers = 2
    on_finished: fields.Command = ()
    keep: fields.Keep | None = None
    keep_printed: fields.Seconds = 30.0 * 86_400
    read_back: fields.YesOrNo = True
    engine: fields.EngineWord = Engine.LOCAL
    scheduler: fields.SchedulerAddress | None = None
    money: fields.Money = ""
    readable_by: fields.ReadableByWord = ReadableBy.ME
    sync_marks: fields.FileNames = ()
