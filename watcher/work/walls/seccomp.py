"""Confine this process to the system calls that opening, drawing and writing files need, with a seccomp filter.

No socket, no other program, no second process, no look into another process. What is not in the list fails with EPERM.
The libraries looked at for this need a C library that is not everywhere.
Sources: seccomp(2); the kernel's Documentation/userspace-api/seccomp_filter.rst, include/uapi/linux/filter.h, audit.h;
the numbers from arch/x86/entry/syscalls/syscall_64.tbl and include/uapi/asm-generic/unistd.h (Linux 6.1).
"""

import ctypes
import os
import platform
import struct
import sys
from collections.abc import Iterator
from dataclasses import dataclass

from watcher.work.walls.landlock import keep_privileges_off

# name: its number on x86-64, and on the processors that share the generic table (64-bit ARM, RISC-V)
CALLS: dict[str, tuple[int, int]] = {
    "read": (0, 63),
    "write": (1, 64),
    "readv": (19, 65),
    "writev": (20, 66),
    "pread64": (17, 67),
    "pwrite64": (18, 68),
    "lseek": (8, 62),
    "openat": (257, 56),
    "close": (3, 57),
    "close_range": (436, 436),
    "fstat": (5, 80),
    "newfstatat": (262, 79),
    "statx": (332, 291),
    "readlinkat": (267, 78),
    "faccessat": (269, 48),
    "faccessat2": (439, 439),
    "getdents64": (217, 61),
    "dup": (32, 23),
    "dup3": (292, 24),
    "ftruncate": (77, 46),
    "fadvise64": (221, 223),
    "fsync": (74, 82),
    "fdatasync": (75, 83),
    "statfs": (137, 43),
    "fstatfs": (138, 44),
    "unlinkat": (263, 35),
    "mkdirat": (258, 34),
    "getcwd": (79, 17),
    "mmap": (9, 222),
    "munmap": (11, 215),
    "mprotect": (10, 226),
    "mremap": (25, 216),
    "madvise": (28, 233),
    "brk": (12, 214),
    "membarrier": (324, 283),
    "futex": (202, 98),
    "set_robust_list": (273, 99),
    "get_robust_list": (274, 100),
    "set_tid_address": (218, 96),
    "rseq": (334, 293),
    "exit": (60, 93),
    "exit_group": (231, 94),
    "sched_yield": (24, 124),
    "sched_getaffinity": (204, 123),
    "sched_getparam": (143, 121),
    "sched_getscheduler": (145, 120),
    "restart_syscall": (219, 128),
    "rt_sigaction": (13, 134),
    "rt_sigprocmask": (14, 135),
    "rt_sigreturn": (15, 139),
    "sigaltstack": (131, 132),
    "clock_gettime": (228, 113),
    "clock_getres": (229, 114),
    "clock_nanosleep": (230, 115),
    "nanosleep": (35, 101),
    "gettimeofday": (96, 169),
    "times": (100, 153),
    "getrusage": (98, 165),
    "getpid": (39, 172),
    "getppid": (110, 173),
    "gettid": (186, 178),
    "getuid": (102, 174),
    "geteuid": (107, 175),
    "getgid": (104, 176),
    "getegid": (108, 177),
    "uname": (63, 160),
    "sysinfo": (99, 179),
    "getrandom": (318, 278),
    "ppoll": (271, 73),
    "pselect6": (270, 72),
}
# calls that only x86-64 has, being older than those that took their place
CALLS_OF_X86 = {
    "open": 2,
    "stat": 4,
    "lstat": 6,
    "access": 21,
    "readlink": 89,
    "unlink": 87,
    "mkdir": 83,
    "dup2": 33,
    "poll": 7,
    "select": 23,
    "getdents": 78,
    "time": 201,
    "arch_prctl": 158,
    "getrlimit": 97,
}
_CLONE, _CLONE3, _PRLIMIT, _FCNTL = (56, 220), (435, 435), (302, 261), (72, 25)

_PR_SET_SECCOMP, _SECCOMP_MODE_FILTER = 22, 2
_ALLOW, _KILL_PROCESS, _ERRNO = 0x7FFF0000, 0x80000000, 0x00050000
_EPERM, _ENOSYS = 1, 38
_CLONE_THREAD = 0x00010000
_SPECIAL_MODES = 0o7000  # a program that has them runs with the rights of its owner: inode(7)
_F_SETOWN, _F_DUPFD_CLOEXEC = 8, 1030
_X32_CALLS = 0x40000000  # numbers of x86-64's 32-bit pointers begin here

_LOAD, _JUMP_EQUAL, _JUMP_NOT_LESS, _JUMP_ANY_BIT, _RETURN = 0x20, 0x15, 0x35, 0x45, 0x06
_NUMBER_AT, _PROCESSOR_AT, _ARGUMENTS_AT = 0, 4, 16  # in struct seccomp_data; an argument has 8 bytes


@dataclass(frozen=True, kw_only=True)
class Processor:
    """How system calls are numbered on a processor.

    Attributes:
        audit: its `AUDIT_ARCH_*`.
        column: of the numbers in `CALLS`.
    """

    audit: int
    column: int


PROCESSORS = {
    "x86_64": Processor(audit=0xC000003E, column=0),
    "aarch64": Processor(audit=0xC00000B7, column=1),
    "riscv64": Processor(audit=0xC00000F3, column=1),
}


def processor_here() -> Processor | None:
    """Give the processor of this machine; None where the numbers of its system calls are not known here."""
    if sys.platform != "linux" or struct.calcsize("P") != 8 or sys.byteorder != "little":
        return None
    return PROCESSORS.get(platform.machine())


def build_filter(processor: Processor) -> bytes:
    """Build the filter, as an array of `struct sock_filter`."""
    return b"".join(_instructions(processor))


def apply_filter(program: bytes) -> None:
    """Confine this thread, and all that it starts, to what a filter allows; for good.

    Raises:
        OSError: the kernel refuses, or knows no filters.
    """
    assert sys.platform == "linux"
    keep_privileges_off()
    held = ctypes.create_string_buffer(program, len(program))
    described = struct.pack("HxxxxxxP", len(program) // 8, ctypes.addressof(held))
    library = ctypes.CDLL(None, use_errno=True)
    if library.prctl(_PR_SET_SECCOMP, ctypes.c_ulong(_SECCOMP_MODE_FILTER), described, 0, 0) < 0:
        code = ctypes.get_errno()
        raise OSError(code, os.strerror(code))


def _instructions(processor: Processor) -> Iterator[bytes]:
    column = processor.column
    yield from (_step(_LOAD, _PROCESSOR_AT), _step(_JUMP_EQUAL, processor.audit, yes=1), _step(_RETURN, _KILL_PROCESS))
    yield _step(_LOAD, _NUMBER_AT)
    if column == 0:
        yield from (_step(_JUMP_NOT_LESS, _X32_CALLS, no=1), _fail(_EPERM))
    # glibc and musl start a thread the older way where the newer is not there, whose flags no filter can read
    yield from (_step(_JUMP_EQUAL, _CLONE3[column], no=1), _fail(_ENOSYS))
    yield from _only_threads(_CLONE[column])
    yield from _only_reading_limits(_PRLIMIT[column])
    yield from _without_signals(_FCNTL[column])
    yield from _without_rights_of_owner(CALLS["openat"][column], argument=3)
    if column == 0:
        yield from _without_rights_of_owner(CALLS_OF_X86["open"], argument=2)
    numbers = [numbers[column] for numbers in CALLS.values()]
    if column == 0:
        numbers += CALLS_OF_X86.values()
    for number in numbers:
        yield from (_step(_JUMP_EQUAL, number, no=1), _step(_RETURN, _ALLOW))
    yield _fail(_EPERM)


def _only_threads(number: int) -> Iterator[bytes]:
    """Allow clone(2) for a thread of this process, never for another process."""
    yield _step(_JUMP_EQUAL, number, no=4)
    yield _step(_LOAD, _ARGUMENTS_AT)
    yield _step(_JUMP_ANY_BIT, _CLONE_THREAD, no=1)
    yield from (_step(_RETURN, _ALLOW), _fail(_EPERM))


def _only_reading_limits(number: int) -> Iterator[bytes]:
    """Allow prlimit(2) where it sets nothing: its third argument, a pointer, is null."""
    yield _step(_JUMP_EQUAL, number, no=6)
    yield from (_step(_LOAD, _ARGUMENTS_AT + 16), _step(_JUMP_EQUAL, 0, no=3))
    yield from (_step(_LOAD, _ARGUMENTS_AT + 20), _step(_JUMP_EQUAL, 0, no=1))
    yield from (_step(_RETURN, _ALLOW), _fail(_EPERM))


def _without_signals(number: int) -> Iterator[bytes]:
    """Allow what fcntl(2) does with numbers of files, their flags and locks: the commands before F_SETOWN, and one."""
    yield _step(_JUMP_EQUAL, number, no=5)
    yield _step(_LOAD, _ARGUMENTS_AT + 8)
    yield from (_step(_JUMP_EQUAL, _F_DUPFD_CLOEXEC, yes=1), _step(_JUMP_NOT_LESS, _F_SETOWN, yes=1))
    yield from (_step(_RETURN, _ALLOW), _fail(_EPERM))


def _without_rights_of_owner(number: int, *, argument: int) -> Iterator[bytes]:
    """Allow open(2) and openat(2) where no file is made that runs with its owner's rights."""
    yield _step(_JUMP_EQUAL, number, no=4)
    yield _step(_LOAD, _ARGUMENTS_AT + 8 * argument)
    yield _step(_JUMP_ANY_BIT, _SPECIAL_MODES, no=1)
    yield from (_fail(_EPERM), _step(_RETURN, _ALLOW))


def _fail(code: int) -> bytes:
    return _step(_RETURN, _ERRNO | code)


def _step(code: int, operand: int, *, yes: int = 0, no: int = 0) -> bytes:
    """Give one instruction; `yes` and `no` are how many to skip after a comparison."""
    return struct.pack("=HBBI", code, yes, no, operand)
