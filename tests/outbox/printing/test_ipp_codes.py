"""The numbers of operations and answers, by the names that the standard gives them."""

import ctypes
import ctypes.util

import pytest

from watcher.outbox.printing.ipp_codes import FOR_GOOD, FOR_NOW, Operation, Status

# Source: RFC 8011 5.4.15 and appendix B (table B.1), where these are the names of the numbers.
OPERATIONS = {
    Operation.VALIDATE_JOB: (0x04, "Validate-Job"),
    Operation.CREATE_JOB: (0x05, "Create-Job"),
    Operation.SEND_DOCUMENT: (0x06, "Send-Document"),
    Operation.CANCEL_JOB: (0x08, "Cancel-Job"),
    Operation.GET_JOB_ATTRIBUTES: (0x09, "Get-Job-Attributes"),
    Operation.GET_JOBS: (0x0A, "Get-Jobs"),
    Operation.GET_PRINTER_ATTRIBUTES: (0x0B, "Get-Printer-Attributes"),
    Operation.RELEASE_JOB: (0x0D, "Release-Job"),
}
ANSWERS = {
    Status.FORBIDDEN: (0x401, "client-error-forbidden"),
    Status.NOT_AUTHENTICATED: (0x402, "client-error-not-authenticated"),
    Status.NOT_AUTHORIZED: (0x403, "client-error-not-authorized"),
    Status.NOT_POSSIBLE: (0x404, "client-error-not-possible"),
    Status.NOT_FOUND: (0x406, "client-error-not-found"),
    Status.GONE: (0x407, "client-error-gone"),
    Status.TOO_LARGE: (0x408, "client-error-request-entity-too-large"),
    Status.FORMAT: (0x40A, "client-error-document-format-not-supported"),
    Status.ATTRIBUTES: (0x40B, "client-error-attributes-or-values-not-supported"),
    Status.CONFLICT: (0x40E, "client-error-conflicting-attributes"),
    Status.DOCUMENT_FORMAT_ERROR: (0x411, "client-error-document-format-error"),
    Status.NO_OPERATION: (0x501, "server-error-operation-not-supported"),
    Status.UNAVAILABLE: (0x502, "server-error-service-unavailable"),
    Status.DEVICE_ERROR: (0x504, "server-error-device-error"),
    Status.TEMPORARY: (0x505, "server-error-temporary-error"),
    Status.NOT_ACCEPTING: (0x506, "server-error-not-accepting-jobs"),
    Status.BUSY: (0x507, "server-error-busy"),
}


def test_every_number_is_that_of_the_standard():
    assert {code: int(code) for code in Operation} == {code: number for code, (number, _) in OPERATIONS.items()}
    assert {code: int(code) for code in Status} == {code: number for code, (number, _) in ANSWERS.items()}


def test_every_answer_has_words_and_is_for_now_or_for_good():
    assert FOR_NOW.keys().isdisjoint(FOR_GOOD)
    assert FOR_NOW.keys() | FOR_GOOD.keys() == set(Status)


def test_the_library_of_cups_calls_the_numbers_so():
    library = ctypes.util.find_library("cups")
    if library is None:
        pytest.skip("the library of CUPS is not installed")
    cups = ctypes.CDLL(library)
    cups.ippOpString.restype = cups.ippErrorString.restype = ctypes.c_char_p
    assert [cups.ippOpString(code).decode() for code in OPERATIONS] == [name for _, name in OPERATIONS.values()]
    assert [cups.ippErrorString(code).decode() for code in ANSWERS] == [name for _, name in ANSWERS.values()]
