"""The codes of operations and of answers (RFC 8011), with what an answer means in plain words."""

from enum import IntEnum


class Operation(IntEnum):
    """Operation codes, RFC 8011 5.4.15."""

    VALIDATE_JOB = 0x04
    CREATE_JOB = 0x05
    SEND_DOCUMENT = 0x06
    CANCEL_JOB = 0x08
    GET_JOB_ATTRIBUTES = 0x09
    GET_JOBS = 0x0A
    GET_PRINTER_ATTRIBUTES = 0x0B
    RELEASE_JOB = 0x0D


class Status(IntEnum):
    """Status codes that are told apart here, RFC 8011 appendix B."""

    FORBIDDEN = 0x401
    NOT_AUTHENTICATED = 0x402
    NOT_AUTHORIZED = 0x403
    NOT_POSSIBLE = 0x404
    NOT_FOUND = 0x406
    GONE = 0x407
    TOO_LARGE = 0x408
    FORMAT = 0x40A
    ATTRIBUTES = 0x40B
    CONFLICT = 0x40E
    DOCUMENT_FORMAT_ERROR = 0x411
    NO_OPERATION = 0x501
    UNAVAILABLE = 0x502
    DEVICE_ERROR = 0x504
    TEMPORARY = 0x505
    NOT_ACCEPTING = 0x506
    BUSY = 0x507


FIRST_ERROR = 0x300
FOR_NOW = {
    Status.UNAVAILABLE: "has no time at the moment",
    Status.DEVICE_ERROR: "has a fault: look at its display",
    Status.TEMPORARY: "cannot at the moment",
    Status.NOT_ACCEPTING: "takes no jobs at the moment",
    Status.BUSY: "is at work on another job",
}
FOR_GOOD = {
    Status.FORBIDDEN: "does not allow it",
    Status.NOT_AUTHENTICATED: "asks for a name and a password",
    Status.NOT_AUTHORIZED: "does not allow it to this user",
    Status.NOT_POSSIBLE: "cannot do that now",
    Status.NOT_FOUND: "has no queue or job of that name",
    Status.GONE: "has no such queue or job any more",
    Status.TOO_LARGE: "finds the sheets too large",
    Status.FORMAT: "does not take this kind of file",
    Status.ATTRIBUTES: "cannot print it as it is wanted",
    Status.CONFLICT: "cannot do all that is wanted together",
    Status.DOCUMENT_FORMAT_ERROR: "cannot read the file",
    Status.NO_OPERATION: "does not know how to do that",
}
