"""Virtual printers for one test, and the way to them."""

import pytest

from tests.virtual_printer import virtual_printer
from watcher.outbox.printing.address import Address
from watcher.outbox.printing.ipp_client import PrinterConnection
from watcher.outbox.printing.ipp_transport import Transport


@pytest.fixture
def printer_runs(tmp_path_factory):
    """Start a virtual printer; it is turned off when the test ends."""
    running = []

    def start(*args, **kwargs):
        context = virtual_printer(tmp_path_factory.mktemp("p"), *args, **kwargs)
        running.append(context)
        return context.__enter__()

    yield start
    for context in running:
        context.__exit__(None, None, None)


@pytest.fixture
def connection():
    """The way to an address."""

    def to(uri, **given):
        return PrinterConnection(Transport("laser", Address.parse(uri), **given))

    return to
