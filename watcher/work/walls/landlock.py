"""Confine this process to named files and folders, and to no network, with Landlock.

Sources: landlock(7), the kernel's Documentation/userspace-api/landlock.rst and include/uapi/linux/landlock.h. The
numbers of its three system calls are the same on every processor.
"""

import ctypes
import functools
import os
import stat
import struct
import sys
from collections.abc import Iterable
from enum import IntFlag
from pathlib import Path

_CREATE_RULESET, _ADD_RULE, _RESTRICT_SELF = 444, 445, 446
_CREATE_RULESET_VERSION = 1
_RULE_PATH_BENEATH = 1
_PR_SET_NO_NEW_PRIVS = 38

_NETWORK = 0b11  # bind and connect with TCP; no rule allows either
_SCOPES = 0b11  # abstract sockets and signals of processes outside


class Access(IntFlag):
    """Rights to files, as `LANDLOCK_ACCESS_FS_*` numbers them."""

    EXECUTE = 1 << 0
    WRITE_FILE = 1 << 1
    READ_FILE = 1 << 2
    READ_DIR = 1 << 3
    REMOVE_DIR = 1 << 4
    REMOVE_FILE = 1 << 5
    MAKE_CHAR = 1 << 6
    MAKE_DIR = 1 << 7
    MAKE_REG = 1 << 8
    MAKE_SOCK = 1 << 9
    MAKE_FIFO = 1 << 10
    MAKE_BLOCK = 1 << 11
    MAKE_SYM = 1 << 12
    REFER = 1 << 13
    TRUNCATE = 1 << 14
    IOCTL_DEV = 1 << 15


READ = Access.READ_FILE | Access.READ_DIR
WRITE = READ | Access.WRITE_FILE | Access.TRUNCATE | Access.MAKE_REG | Access.REMOVE_FILE
_OF_A_FILE = Access.EXECUTE | Access.WRITE_FILE | Access.READ_FILE | Access.TRUNCATE | Access.IOCTL_DEV

_LAST_OF_VERSION = {1: Access.MAKE_SYM, 2: Access.REFER, 3: Access.TRUNCATE, 4: Access.TRUNCATE, 5: Access.IOCTL_DEV}
_NETWORK_SINCE, _SCOPES_SINCE = 4, 6


def landlock_version() -> int:
    """Give the version of Landlock that the kernel has; 0 where it has none, or none that may be used here."""
    if sys.platform != "linux":
        return 0
    version: int = _library().syscall(
        _CREATE_RULESET, None, ctypes.c_size_t(0), ctypes.c_uint32(_CREATE_RULESET_VERSION)
    )
    return max(0, version)


def confine(readable: Iterable[Path], writable: Iterable[Path]) -> None:
    """Take all rights to files from this process and its children, but to what is named here; and the network.

    Args:
        readable: files and folders (with all that is in them) that may be read; one that is not there is passed over.
        writable: the same, where files may also be made, written and removed.

    Raises:
        OSError: the kernel refuses.
    """
    version = landlock_version()
    handled = Access((_LAST_OF_VERSION.get(version, Access.IOCTL_DEV) << 1) - 1)
    ruleset = _create_ruleset(version, handled)
    try:
        for path in readable:
            _allow(ruleset, path, READ & handled)
        for path in writable:
            _allow(ruleset, path, WRITE & handled)
        keep_privileges_off()
        _check(_library().syscall(_RESTRICT_SELF, ctypes.c_int(ruleset), ctypes.c_uint32(0)))
    finally:
        os.close(ruleset)


def keep_privileges_off() -> None:
    """Let no program that is started from here gain rights: prctl(2), PR_SET_NO_NEW_PRIVS; asked for by both walls.

    Raises:
        OSError: the kernel refuses.
    """
    _check(_library().prctl(_PR_SET_NO_NEW_PRIVS, ctypes.c_ulong(1), *(ctypes.c_ulong(0),) * 3))


def _create_ruleset(version: int, handled: Access) -> int:
    fields = [int(handled)]
    if version >= _NETWORK_SINCE:
        fields.append(_NETWORK)
    if version >= _SCOPES_SINCE:
        fields.append(_SCOPES)
    attributes = struct.pack(f"={len(fields)}Q", *fields)
    return _check(_library().syscall(_CREATE_RULESET, attributes, ctypes.c_size_t(len(attributes)), ctypes.c_uint32(0)))


def _allow(ruleset: int, path: Path, access: Access) -> None:
    if sys.platform != "linux":
        return
    try:
        place = os.open(path, os.O_PATH | os.O_CLOEXEC)
    except OSError:  # not there, or not to be reached: there is nothing to allow
        return
    try:
        if not stat.S_ISDIR(os.fstat(place).st_mode):
            access &= _OF_A_FILE
        rule = struct.pack("=Qi", int(access), place)
        _check(
            _library().syscall(
                _ADD_RULE, ctypes.c_int(ruleset), ctypes.c_int(_RULE_PATH_BENEATH), rule, ctypes.c_uint32(0)
            )
        )
    finally:
        os.close(place)


@functools.cache
def _library() -> ctypes.CDLL:
    assert sys.platform == "linux"
    return ctypes.CDLL(None, use_errno=True)


def _check(result: int) -> int:
    if result < 0:
        code = ctypes.get_errno()
        raise OSError(code, os.strerror(code))
    return result
