"""The life of an order as a table: in which state, at which event, what is done and what state follows.

How to read a row of `LIFE`: an order is in one of the states when the event happens. The rows of a state and an event
are tried from above; the first whose condition holds counts, and the last of them has no condition. Then `do` is
carried out, passing the named steps, and the journal has the order in state `then`. An action may bring about the next
event, which is looked up in turn. So a worker that dies a second time over an order whose files were changed
meanwhile: MAKING, WORKER_DIED, FILES_CHANGED: the files go back to the inbox.

An order that is tried again keeps its state in the journal until it is begun anew. The orders of a gang run go through
it together; the events of a run begin with RUN. `service/life/executor.py` binds the names used here to functions.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum, StrEnum, unique

from watcher.steps import Step


class State(StrEnum):
    """How far an order is, as the journal has it."""

    TAKEN = "taken"  # its files are out of the inbox
    SHARING = "sharing"  # its art is good; it waits for others to share sheets with
    MAKING = "making"  # a worker has it
    DELIVERING = "delivering"  # its product is finished and moves to archive and outbox
    DONE = "done"
    HELD = "held"
    SAME = "same"  # the very art whose sheets still lay in the outbox


PROGRESS: Mapping[State, str] = {  # how `status` calls the states of orders that have left the inbox and have not ended
    State.TAKEN: "next",
    State.SHARING: "sharing",
    State.MAKING: "making",
    State.DELIVERING: "delivering",
}
ON_THEIR_WAY = tuple(PROGRESS)


@unique
class Event(StrEnum):
    """What happens to an order, or to a run of orders."""

    CLAIMED = "its files were taken out of the inbox"
    TURN_CAME = "a worker is free for it"
    NOT_POSSIBLE = "the settings or the archive do not allow it"
    PREPARED = "settings, name and art are put together"
    EXAMINED = "a worker found its art good for sharing sheets"
    MADE = "a worker has finished its product"
    REFUSED = "a worker found that it cannot be made as it is"
    WORKER_DIED = "a worker broke down over it"
    SET_BACK = "it kept the spare worker too long while others wait"
    DELIVERY_DUE = "its product can be delivered"
    NAME_TAKEN = "somebody has made a folder of its name meanwhile"
    DELIVERED = "art and product have their final places"
    RECORDED = "the journal says that it is done or held"
    ANNOUNCED = "everybody has been told"
    RETURN_FAILED = "its files could not be put back into the inbox"
    MADE_IN_VAIN = "its product was taken away three times in a row"
    DISK_FAILED = "disk, rights or mounts stood in the way"
    PROGRAM_FAILED = "a fault of the program"
    RUN_DUE = "a run of orders is to be made now"
    RUN_MADE = "a worker has finished the run"
    RUN_SPOILED = "the art of one of its orders cannot be used"
    RUN_NOT_MADE = "a worker refused the run, or died over it"
    RUN_DELIVERY_DUE = "the product of the run can be delivered"
    RUN_NAME_TAKEN = "somebody has made a folder of one of its names meanwhile"
    RUN_DELIVERED = "all of its orders are recorded as done"
    RUN_DISK_FAILED = "disk, rights or mounts stood in the way of the run"
    RUN_PROGRAM_FAILED = "a fault of the program, over the run"
    STARTED_AGAIN = "the service starts, and the order's note still lies in the archive"
    SERVICE_DIED = "the service had ended while the order was being made"
    NOTE_GONE = "the service starts, and the journal has the order on its way, but its note is gone"


@unique
class If(StrEnum):
    """A condition of a row."""

    HAS_FAULT = "it is marked to be held for a fault"
    IS_REPEAT = "it repeats an order of the archive"
    SAME_ART_IN_OUTBOX = "sheets of the very same art still lie in the outbox"
    SHARES_SHEETS = "the settings let it share sheets with others"
    MAY_BE_ACCEPTED = "a person may accept it as it is"
    FILES_CHANGED = "its files were written to after they were taken, and it has gone back less than three times"
    FILES_GONE = "its files were taken away"
    FIRST_DEATH = "no worker had died over this art before"
    PAUSED = "nothing could be made until now"
    IS_MADE = "its product is finished"
    PRODUCT_NOT_WHOLE = "files were taken out of its product, but its art is there"
    ITS_OWN_TROUBLE = "it failed so before, and other orders were finished since"
    NOT_THE_DISK = "the error is about this one file, not the disk"
    IN_A_RUN = "it is part of a gang run"
    NOBODY_TO_SHARE_WITH = "fewer than two orders are left to share, or the settings no longer let them"
    SAVES_NOTHING = "sharing saves no sheet"
    FILES_ARRIVED = "its files have their final place in archive or held"
    CLAIM_NOT_WHOLE = "not all of its files were taken"
    FIRST_DEATH_IN_A_RUN = "it was part of a run, and the service has died over it only once"
    DIED_TOO_OFTEN = "the service has died over it five times in a row"
    IN_ARCHIVE = "its ticket lies in the archive"


@unique
class Do(StrEnum):
    """What is done."""

    QUEUE = "queue it by its due date"
    PREPARE = "put together what a worker needs"
    PREPARE_REPEAT = "the same, with the art out of the archive"
    DROP_SAME = "log it and remove its files"
    EXAMINE = "have a worker look whether its art is good"
    MAKE = "have a worker make it"
    WAIT_FOR_OTHERS = "let it wait for others to share sheets with"
    KEEP_FOR_DELIVERY = "deliver it once the workers have their next orders"
    DELIVER_NOW = "deliver it at once: that tells whether the pause is over"
    DELIVER = "move art and product to their final places"
    DELIVER_LATER = "pause, then deliver"
    MAKE_AGAIN = "queue it first, but not the third time"
    RECORD = "note that it is done"
    LOG = "write its line into the log for people"
    LOG_IN_RUN = "the same; the run is announced when all of its orders are recorded"
    LOG_AND_CALL = "write the line, and start the shop's own command"
    DROP_NOTE = "remove its note from the archive"
    QUEUE_AGAIN = "queue it by its due date once more"
    QUEUE_FIRST = "queue it before all others"
    QUEUE_FIRST_AND_PAUSE = (
        "queue it before all others, and pause; where a worker alone says so, try another order first"
    )
    HOLD = "move its files to held, with the reasons"
    HOLD_FOR_TROUBLE = "queue it first, to be held: other orders go on"
    HOLD_NEXT = "log the fault; queue it first, to be held"
    RETURN = "put its files back into the inbox"
    LEAVE = "leave it as it is: its note tells the next start what is left to do"
    MAKE_RUN = "have a worker make the run"
    MAKE_SINGLY = "queue its orders first, to be made one by one"
    LEAVE_OUT = "queue those of its orders that save nothing; deliver the others"
    HANDLE_SPOILED = "treat the one order as if it were alone; the others wait again"
    DELIVER_RUN = "move the art of all its orders and the product to their final places"
    DELIVER_RUN_LATER = "pause, then deliver the run"
    LOG_AND_CALL_RUN = "write the line of the run, and start the shop's own command for it"
    MAKE_RUN_AGAIN = "let its orders wait again; pause when it is the third time"
    RETURN_CHANGED = "put the changed orders back into the inbox; the others wait again"
    SHARE_AGAIN = "let its orders wait again"
    SHARE_AGAIN_LATER = "let its orders wait again, and pause"
    COMPLETE_DELIVERY = "move what has not yet its final place"
    COMPLETE_HOLD = "note and log that it is held, if that has not been done"
    COMPLETE_SAME = "log it, if that has not been done, and remove its files"
    UNDO_CLAIM = "put back into the inbox what was taken"
    COUNT_DEATH = "count the death of the service, if a worker was at work on the order"
    QUEUE_TO_BE_HELD = "queue it, to be held as the cause of the deaths"
    QUEUE_ALONE = "queue it first and make it alone, for it may be the cause"
    FORGET = "forget it"


class Then(Enum):
    """What becomes of the state where it is none of `State`."""

    STAYS = "the journal keeps the state it has"
    GONE = "the journal forgets the order, or needs it no more"


@dataclass(frozen=True)
class Rule:
    """One row.

    Attributes:
        states: that the order, or the order of a run that is least far, is in; None: the journal does not know it.
        event: what happens.
        when: the condition; None: in all other cases.
        do: what is done.
        then: the state that follows.
        steps: of `watcher/steps.py`, that are passed by the time it is done.
    """

    states: tuple[State | None, ...]
    event: Event
    when: If | None
    do: Do
    then: State | Then
    steps: tuple[Step, ...] = ()


def rules_for(state: State | None, event: Event) -> tuple[Rule, ...]:
    """Give the rows of a state and an event, in the order in which they are tried."""
    return tuple(rule for rule in LIFE if rule.event is event and state in rule.states)


_TAKEN, _SHARING, _MAKING, _DELIVERING = (State.TAKEN,), (State.SHARING,), (State.MAKING,), (State.DELIVERING,)
_DONE, _HELD, _SAME, _UNKNOWN = (State.DONE,), (State.HELD,), (State.SAME,), (None,)
_MADE = _MAKING + _DELIVERING
_QUEUED = (*ON_THEIR_WAY, State.SAME)  # that can be in the queue: of the same art again, when it could not be removed
_ENDED = _DONE + _HELD + _UNKNOWN
_ANY = (*_UNKNOWN, *State)
_NOT_SAME = tuple(state for state in _ANY if state is not State.SAME)
_NOT_BEGUN = tuple(state for state in _NOT_SAME if state is not State.MAKING)
_CLAIM = (
    Step.ASKED_AGAIN, Step.NOTED, Step.FOLDER_MADE, Step.FILE_MOVED, Step.HASHED, Step.CLAIMED, Step.SPLIT,
)  # fmt: skip
_HOLD = (Step.WHY_WRITTEN, Step.HELD_NOTED, Step.HELD, Step.HELD_KEPT)
_ARCHIVE = (Step.DELIVERING, Step.TICKET_KEPT, Step.ARCHIVED)
_STAYS, _GONE = Then.STAYS, Then.GONE

# fmt: off
LIFE: tuple[Rule, ...] = (
    # taken out of the inbox; its turn comes
    Rule(_UNKNOWN, Event.CLAIMED, None, Do.QUEUE, State.TAKEN, (*_CLAIM, Step.QUEUED)),
    Rule(_QUEUED, Event.TURN_CAME, If.HAS_FAULT, Do.HOLD, State.HELD, _HOLD),
    Rule(_QUEUED, Event.TURN_CAME, If.IS_REPEAT, Do.PREPARE_REPEAT, _STAYS, (Step.LINKED,)),
    Rule(_QUEUED, Event.TURN_CAME, None, Do.PREPARE, _STAYS),
    Rule(_QUEUED, Event.NOT_POSSIBLE, None, Do.HOLD, State.HELD, _HOLD),
    Rule(_QUEUED, Event.PREPARED, If.SAME_ART_IN_OUTBOX, Do.DROP_SAME, State.SAME,
         (Step.SAME, Step.LOGGED, Step.DROPPED)),
    Rule(_QUEUED, Event.PREPARED, If.SHARES_SHEETS, Do.EXAMINE, State.MAKING, (Step.BEGUN,)),
    Rule(_QUEUED, Event.PREPARED, None, Do.MAKE, State.MAKING, (Step.BEGUN,)),
    # what a worker answers
    Rule(_MAKING, Event.EXAMINED, None, Do.WAIT_FOR_OTHERS, State.SHARING, (Step.SHARING,)),
    Rule(_MAKING, Event.MADE, If.PAUSED, Do.DELIVER_NOW, _STAYS, (Step.MADE,)),
    Rule(_MAKING, Event.MADE, None, Do.KEEP_FOR_DELIVERY, _STAYS, (Step.MADE,)),
    Rule(_MAKING, Event.REFUSED, If.MAY_BE_ACCEPTED, Do.HOLD, State.HELD, _HOLD),
    Rule(_MAKING, Event.REFUSED, If.FILES_CHANGED, Do.RETURN, _GONE),
    Rule(_MAKING, Event.REFUSED, None, Do.HOLD, State.HELD, _HOLD),
    Rule(_MAKING, Event.WORKER_DIED, If.FIRST_DEATH, Do.QUEUE_AGAIN, _STAYS),
    Rule(_MAKING, Event.WORKER_DIED, If.FILES_CHANGED, Do.RETURN, _GONE),
    Rule(_MAKING, Event.WORKER_DIED, None, Do.HOLD, State.HELD, _HOLD),
    Rule(_MAKING, Event.SET_BACK, None, Do.QUEUE_AGAIN, _STAYS),
    # delivery
    Rule(_MADE, Event.DELIVERY_DUE, If.FILES_CHANGED, Do.RETURN, _GONE),
    Rule(_MADE, Event.DELIVERY_DUE, If.PRODUCT_NOT_WHOLE, Do.MAKE_AGAIN, _STAYS),
    Rule(_MADE, Event.DELIVERY_DUE, None, Do.DELIVER, State.DELIVERING, (*_ARCHIVE, Step.PUBLISHED)),
    Rule(_MADE, Event.NAME_TAKEN, None, Do.QUEUE_FIRST, _STAYS),
    Rule(_DELIVERING + _DONE, Event.DELIVERED, None, Do.RECORD, State.DONE, (Step.DONE,)),
    # the end: logged, told to the shop's own command, and at last the note goes
    Rule(_DONE, Event.RECORDED, If.IN_A_RUN, Do.LOG_IN_RUN, _STAYS, (Step.LOGGED,)),
    Rule(_DONE, Event.RECORDED, None, Do.LOG_AND_CALL, _STAYS, (Step.LOGGED, Step.CALLED, Step.TOLD)),
    Rule(_HELD, Event.RECORDED, None, Do.LOG, _STAYS, (Step.LOGGED,)),
    Rule(_DONE + _HELD + _SAME, Event.ANNOUNCED, None, Do.DROP_NOTE, _GONE, (Step.FORGOTTEN,)),
    # what goes wrong
    Rule(_QUEUED, Event.RETURN_FAILED, None, Do.QUEUE_FIRST_AND_PAUSE, _STAYS),
    Rule(_QUEUED, Event.MADE_IN_VAIN, If.ITS_OWN_TROUBLE, Do.HOLD_FOR_TROUBLE, _STAYS),
    Rule(_QUEUED, Event.MADE_IN_VAIN, None, Do.QUEUE_FIRST_AND_PAUSE, _STAYS),
    Rule(_QUEUED, Event.DISK_FAILED, If.PRODUCT_NOT_WHOLE, Do.MAKE_AGAIN, _STAYS),
    Rule(_QUEUED, Event.DISK_FAILED, If.IS_MADE, Do.DELIVER_LATER, _STAYS),
    Rule(_QUEUED, Event.DISK_FAILED, If.ITS_OWN_TROUBLE, Do.HOLD_FOR_TROUBLE, _STAYS),
    Rule(_QUEUED, Event.DISK_FAILED, If.NOT_THE_DISK, Do.HOLD_NEXT, _STAYS),
    Rule(_QUEUED, Event.DISK_FAILED, If.FILES_GONE, Do.RETURN, _GONE),
    Rule(_QUEUED, Event.DISK_FAILED, None, Do.QUEUE_FIRST_AND_PAUSE, _STAYS),
    Rule(_ENDED, Event.DISK_FAILED, None, Do.LEAVE, _STAYS),
    Rule(_QUEUED, Event.PROGRAM_FAILED, If.HAS_FAULT, Do.LEAVE, _STAYS),
    Rule(_QUEUED, Event.PROGRAM_FAILED, None, Do.HOLD_NEXT, _STAYS),
    Rule(_ENDED, Event.PROGRAM_FAILED, None, Do.LEAVE, _STAYS),
    # gang runs
    Rule(_SHARING, Event.RUN_DUE, If.NOBODY_TO_SHARE_WITH, Do.MAKE_SINGLY, _STAYS),
    Rule(_SHARING, Event.RUN_DUE, None, Do.MAKE_RUN, State.MAKING, (Step.RUN_BEGUN,)),
    Rule(_MAKING, Event.RUN_MADE, If.SAVES_NOTHING, Do.MAKE_SINGLY, _STAYS),
    Rule(_MAKING, Event.RUN_MADE, None, Do.LEAVE_OUT, _STAYS, (Step.RUN_MADE,)),
    Rule(_MAKING, Event.RUN_SPOILED, None, Do.HANDLE_SPOILED, State.SHARING),
    Rule(_MAKING, Event.RUN_NOT_MADE, None, Do.MAKE_SINGLY, _STAYS),
    Rule(_MADE, Event.RUN_DELIVERY_DUE, If.FILES_CHANGED, Do.RETURN_CHANGED, State.SHARING),
    Rule(_MADE, Event.RUN_DELIVERY_DUE, If.PRODUCT_NOT_WHOLE, Do.MAKE_RUN_AGAIN, State.SHARING),
    Rule(_MADE, Event.RUN_DELIVERY_DUE, None, Do.DELIVER_RUN, State.DELIVERING,
         (*_ARCHIVE, Step.UNLISTED, Step.PUBLISHED)),
    Rule(_MADE, Event.RUN_NAME_TAKEN, None, Do.SHARE_AGAIN, State.SHARING),
    Rule(_DONE, Event.RUN_DELIVERED, None, Do.LOG_AND_CALL_RUN, _STAYS, (Step.LOGGED, Step.CALLED, Step.TOLD)),
    Rule(_ANY, Event.RUN_DISK_FAILED, If.PRODUCT_NOT_WHOLE, Do.MAKE_RUN_AGAIN, State.SHARING),
    Rule(_ANY, Event.RUN_DISK_FAILED, If.IS_MADE, Do.DELIVER_RUN_LATER, _STAYS),
    Rule(_ANY, Event.RUN_DISK_FAILED, If.ITS_OWN_TROUBLE, Do.MAKE_SINGLY, _STAYS),
    Rule(_ANY, Event.RUN_DISK_FAILED, None, Do.SHARE_AGAIN_LATER, State.SHARING),
    Rule(_ANY, Event.RUN_PROGRAM_FAILED, None, Do.MAKE_SINGLY, _STAYS),
    # the service starts again after a stop or a crash
    Rule(_DELIVERING + _DONE, Event.STARTED_AGAIN, If.FILES_ARRIVED, Do.COMPLETE_DELIVERY, _STAYS),
    Rule(_SAME, Event.STARTED_AGAIN, If.FILES_ARRIVED, Do.DROP_NOTE, _GONE, (Step.FORGOTTEN,)),
    Rule(_UNKNOWN + _TAKEN + _SHARING + _MAKING + _HELD, Event.STARTED_AGAIN, If.FILES_ARRIVED, Do.COMPLETE_HOLD,
         State.HELD, (Step.LOGGED,)),
    Rule(_SAME, Event.STARTED_AGAIN, None, Do.COMPLETE_SAME, _GONE, (Step.LOGGED,)),
    Rule(_NOT_SAME, Event.STARTED_AGAIN, If.CLAIM_NOT_WHOLE, Do.UNDO_CLAIM, _GONE),
    Rule(_MAKING, Event.STARTED_AGAIN, None, Do.COUNT_DEATH, _STAYS),
    Rule(_NOT_BEGUN, Event.STARTED_AGAIN, None, Do.QUEUE, State.TAKEN, (Step.QUEUED,)),
    Rule(_MAKING, Event.SERVICE_DIED, If.FIRST_DEATH_IN_A_RUN, Do.QUEUE, State.TAKEN, (Step.QUEUED,)),
    Rule(_MAKING, Event.SERVICE_DIED, If.DIED_TOO_OFTEN, Do.QUEUE_TO_BE_HELD, State.TAKEN, (Step.QUEUED,)),
    Rule(_MAKING, Event.SERVICE_DIED, None, Do.QUEUE_ALONE, State.TAKEN),
    Rule(_DELIVERING, Event.NOTE_GONE, If.IN_ARCHIVE, Do.COMPLETE_DELIVERY, _STAYS),
    Rule(ON_THEIR_WAY, Event.NOTE_GONE, None, Do.FORGET, _GONE),
)
# fmt: on
