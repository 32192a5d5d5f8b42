"""Tell systemd that the service is ready, alive or stopping: sd_notify(3), a datagram to the socket that it names."""

import os
import socket
import sys


def tell(message: str) -> None:
    """Send `READY=1`, `WATCHDOG=1`, `STOPPING=1` or `STATUS=…`; without a supervisor nothing happens."""
    address = os.environ.get("NOTIFY_SOCKET")
    if sys.platform == "win32" or not address:
        return
    if address.startswith("@"):
        address = "\0" + address[1:]
    try:
        with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as talk:
            talk.sendto(message.encode(), address)
    except OSError:
        return  # a supervisor that is gone must not stop the service


def watchdog_s() -> float | None:
    """The longest time between two `WATCHDOG=1` that the supervisor allows, s; None when it wants none."""
    period = os.environ.get("WATCHDOG_USEC", "")
    meant_for = os.environ.get("WATCHDOG_PID", str(os.getpid()))
    if not period.isdecimal() or int(period) == 0 or meant_for != str(os.getpid()):
        return None
    return int(period) / 1e6
