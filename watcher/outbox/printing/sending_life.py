"""The life of a job that is sent to a printer, as a table: in which state, at which event, what is done, what follows.

How to read a row of `LIFE`: as in `records/order_life.py`. The state is noted durably before the request goes out that
it is named for, so that after a crash the note tells how far the sheets can have come at the most. What may be on paper
is never sent again by itself: where nobody can know, a person is asked.

Why it is safe to begin again where a row says so: a job without a document prints nothing (CREATING), and a document in
a job that the printer itself called held is not printed before it is released (SENDING). Nothing else is begun again.
`sending.py` binds the names used here to functions.
"""

from dataclasses import dataclass
from enum import Enum, StrEnum, unique

from watcher.steps import PrintStep


class JobStage(StrEnum):
    """How far a job is, as the notes have it."""

    WAITING = "waiting"  # nothing has gone out
    CREATING = "creating"  # the printer is asked for a job without a document
    SENDING = "sending"  # the document goes out
    RELEASING = "releasing"  # the document is there, held; the job is let go
    PRINTING = "printing"  # the printer has all of it
    PRINTED = "printed"
    NOT_PRINTED = "not printed"  # it did not come to paper, and is not sent by itself
    PERHAPS = "perhaps printed"  # nobody can know; a person looks
    WITHDRAWN = "withdrawn"  # somebody took the wish back before anything had gone out


UNDER_WAY = (JobStage.WAITING, JobStage.CREATING, JobStage.SENDING, JobStage.RELEASING, JobStage.PRINTING)


@unique
class Event(StrEnum):
    """What happens to a job."""

    TURN_CAME = "the printer is free for it"
    FITS = "the printer can print it as it is and takes it"
    DIFFERS = "something in or about the printer is not as the sheet needs it"
    NOT_NOW = "the printer is off, out of reach or busy, or has something to be seen to"
    CREATED = "the printer has a job for it"
    NOT_CREATED = "nobody knows whether it has"
    DOCUMENT_TAKEN = "the printer has the document"
    RELEASED = "the printer has let the job go"
    LOST_TRACK = "a request broke off, or the service starts again"
    FOUND = "the printer tells how the job is"
    NOT_FOUND = "the printer knows no such job"
    TAKEN_BACK = "the printer has cancelled the job while it was held"
    TAKEN_AWAY = "somebody took the wish back"
    SEEN_PRINTED = "a person has seen the sheets"
    SEEN_NOT_PRINTED = "a person has seen that there are none"


@unique
class If(StrEnum):
    """A condition of a row."""

    IS_HELD = "the job waits at the printer to be released"
    WAS_HELD = "the printer had called the job held before the document went"
    IS_DONE = "the printer says that it is printed"
    GAVE_UP_BLANK = "the printer ended the job early and says that no sheet came out"
    GAVE_UP = "the printer ended the job early"


@unique
class Do(StrEnum):
    """What is done."""

    ASK = "ask the printer what it is, has and takes"
    CREATE = "ask for a job without a document, held where the printer can"
    SEND = "send the document"
    RELEASE = "let the job go"
    FOLLOW = "ask from time to time how it is"
    FIND = "ask for the job by its number and its token"
    TAKE_BACK = "cancel the held job"
    BEGIN_AGAIN = "send it anew, under another token"
    WAIT = "say what is waited for, and try again later"
    RECORD = "note that it is printed"
    REFUSE = "note why it is not"
    ASK_PERSON = "note what to look at"
    DROP = "forget the wish"


class Then(Enum):
    """What becomes of the stage where it is none of `JobStage`."""

    STAYS = "the notes keep the stage they have"


@dataclass(frozen=True)
class Rule:
    """One row.

    Attributes:
        stages: that the job is in.
        event: what happens.
        when: the condition; None: in all other cases.
        do: what is done.
        then: the stage that follows; it is noted before anything goes out.
        steps: of `watcher/steps.py`, that are passed.
    """

    stages: tuple[JobStage, ...]
    event: Event
    when: If | None
    do: Do
    then: JobStage | Then
    steps: tuple[PrintStep, ...] = ()


def rules_for(stage: JobStage, event: Event) -> tuple[Rule, ...]:
    """Give the rows of a stage and an event, in the order in which they are tried."""
    return tuple(rule for rule in LIFE if rule.event is event and stage in rule.stages)


_WAITING, _CREATING, _SENDING = (JobStage.WAITING,), (JobStage.CREATING,), (JobStage.SENDING,)
_RELEASING, _PRINTING, _PERHAPS = (JobStage.RELEASING,), (JobStage.PRINTING,), (JobStage.PERHAPS,)
_OUT = _SENDING + _RELEASING + _PRINTING
_STAYS = Then.STAYS

# fmt: off
LIFE: tuple[Rule, ...] = (
    # its turn comes
    Rule(_WAITING, Event.TURN_CAME, None, Do.ASK, _STAYS),
    Rule(_WAITING, Event.DIFFERS, None, Do.REFUSE, JobStage.NOT_PRINTED, (PrintStep.ENDED,)),
    Rule(_WAITING, Event.FITS, None, Do.CREATE, JobStage.CREATING, (PrintStep.CREATING,)),
    Rule(_WAITING, Event.TAKEN_AWAY, None, Do.DROP, JobStage.WITHDRAWN),
    Rule(UNDER_WAY, Event.NOT_NOW, None, Do.WAIT, _STAYS),
    # out to the printer
    Rule(_CREATING, Event.CREATED, None, Do.SEND, JobStage.SENDING, (PrintStep.CREATED, PrintStep.SENDING)),
    Rule(_CREATING, Event.NOT_CREATED, None, Do.BEGIN_AGAIN, JobStage.WAITING),
    Rule(_CREATING, Event.LOST_TRACK, None, Do.BEGIN_AGAIN, JobStage.WAITING),
    Rule(_CREATING, Event.DIFFERS, None, Do.REFUSE, JobStage.NOT_PRINTED, (PrintStep.ENDED,)),
    Rule(_SENDING, Event.DOCUMENT_TAKEN, If.IS_HELD, Do.RELEASE, JobStage.RELEASING,
         (PrintStep.TAKEN, PrintStep.RELEASING)),
    Rule(_SENDING, Event.DOCUMENT_TAKEN, None, Do.FOLLOW, JobStage.PRINTING, (PrintStep.TAKEN, PrintStep.PRINTING)),
    Rule(_RELEASING, Event.RELEASED, None, Do.FOLLOW, JobStage.PRINTING, (PrintStep.RELEASED, PrintStep.PRINTING)),
    # how it is there
    Rule(_OUT, Event.LOST_TRACK, None, Do.FIND, _STAYS),
    Rule(_OUT, Event.FOUND, If.IS_DONE, Do.RECORD, JobStage.PRINTED, (PrintStep.ENDED, PrintStep.PRINTED)),
    Rule(_OUT, Event.FOUND, If.GAVE_UP_BLANK, Do.REFUSE, JobStage.NOT_PRINTED, (PrintStep.ENDED,)),
    Rule(_OUT, Event.FOUND, If.GAVE_UP, Do.ASK_PERSON, JobStage.PERHAPS, (PrintStep.ENDED,)),
    Rule(_SENDING, Event.FOUND, If.IS_HELD, Do.TAKE_BACK, _STAYS),
    Rule(_RELEASING, Event.FOUND, If.IS_HELD, Do.RELEASE, JobStage.RELEASING, (PrintStep.RELEASING,)),
    Rule(_OUT, Event.FOUND, None, Do.FOLLOW, JobStage.PRINTING, (PrintStep.PRINTING,)),
    Rule(_SENDING, Event.TAKEN_BACK, None, Do.BEGIN_AGAIN, JobStage.WAITING),
    Rule(_SENDING, Event.NOT_FOUND, If.WAS_HELD, Do.BEGIN_AGAIN, JobStage.WAITING),
    Rule(_OUT, Event.NOT_FOUND, None, Do.ASK_PERSON, JobStage.PERHAPS, (PrintStep.ENDED,)),
    # what a person says to "perhaps printed"
    Rule(_PERHAPS, Event.SEEN_PRINTED, None, Do.RECORD, JobStage.PRINTED, (PrintStep.PRINTED,)),
    Rule(_PERHAPS, Event.SEEN_NOT_PRINTED, None, Do.REFUSE, JobStage.NOT_PRINTED),
)
# fmt: on
