"""The named steps of an order's life at which a power cut must do no harm.

A test has the service killed at one of them: `PRINT_FOLDER_KILL_AT=archived` kills it there the first time,
`archived:2` the second time. Without that variable a step costs one comparison.
"""

import os
import signal
import sys
from enum import StrEnum


class Step(StrEnum):
    """What has just been done when the step is reached."""

    ASKED_AGAIN = "asked-again"  # the job ticket that an empty folder's name says lies in it
    NOTED = "noted"  # the claim's note is written, nothing has moved
    FOLDER_MADE = "folder-made"  # archive/.taking-N is there, empty
    FILE_MOVED = "file-moved"  # one file has moved into it
    HASHED = "hashed"  # all files have moved and are hashed; the note does not say so yet
    CLAIMED = "claimed"  # the note has the hashes
    SPLIT = "split"  # one order of a bundle has its own folder and note
    QUEUED = "queued"  # the journal says taken
    SHARING = "sharing"  # the journal says that it waits for others to share sheets with
    RUN_BEGUN = "run-begun"  # the journal says of all orders of a run that they are being made
    RUN_MADE = "run-made"  # a worker has finished the run in archive/.making-run-N
    UNLISTED = "unlisted"  # the hidden list of a run's orders is gone; the art of all of them is archived
    BEGUN = "begun"  # the journal says being made
    LINKED = "linked"  # the art of an archived order lies beside the ticket that repeats it
    MADE = "made"  # a worker has finished the product in archive/.making-N
    DELIVERING = "delivering"  # the journal says so
    TICKET_KEPT = "ticket-kept"  # the ticket lies beside the art
    ARCHIVED = "archived"  # the art has its final name
    PUBLISHED = "published"  # the product has its final name
    DONE = "done"  # the journal says done
    LOGGED = "logged"  # the log for people says what became of the order
    CALLED = "called"  # the shop's own command has been started
    TOLD = "told"  # it has come to its end, or there is none
    FORGOTTEN = "forgotten"  # the claim's note is gone
    WHY_WRITTEN = "why-written"  # why.txt lies beside the art of an order that is to be held
    HELD_NOTED = "held-noted"  # held.toml too
    HELD = "held"  # its folder has its place in held
    HELD_KEPT = "held-kept"  # the journal says held
    SAME = "same"  # the journal says that this very art still lies in the outbox
    DROPPED = "dropped"  # its files are removed


class PrintStep(StrEnum):
    """What has just been done for sheets that go to a printer (`outbox/printing/sending_life.py`)."""

    ASKED = "print-asked"  # the wish is noted, nothing has gone out
    CREATING = "print-creating"  # the notes say that the printer is asked for a job
    CREATED = "print-created"  # it has one; the notes do not say so yet
    SENDING = "print-sending"  # the notes say that the document goes out
    TAKEN = "print-taken"  # the printer has the document; the notes do not say so yet
    RELEASING = "print-releasing"  # the notes say that the held job is let go
    RELEASED = "print-released"  # it is; the notes do not say so yet
    PRINTING = "print-printing"  # the notes say that the printer has all of it
    ENDED = "print-ended"  # the job has come to its end; the notes do not say so yet
    PRINTED = "print-printed"  # the notes say that it is printed
    MOVED = "print-moved"  # the folder has the name that tells what came of the wish


_WANTED, _, _COUNT = os.environ.get("PRINT_FOLDER_KILL_AT", "").partition(":")
_left = int(_COUNT or "1")


def reached(step: Step | PrintStep) -> None:
    """Mark a step as done; a test may kill the process here."""
    at_step(step)


def _kill_where_asked(step: Step | PrintStep) -> None:
    global _left
    if step != _WANTED:
        return
    _left -= 1
    if _left == 0:
        if sys.platform == "win32":
            os.kill(os.getpid(), signal.SIGTERM)  # ends it at once there
        else:
            os.kill(os.getpid(), signal.SIGKILL)


at_step = _kill_where_asked  # a test in the same process puts its own in its place
