"""The list of system calls: its numbers are the kernel's, and the filter does what it says when it is carried out."""

import re
import struct
from pathlib import Path

import pytest

from watcher.work.walls.seccomp import CALLS, CALLS_OF_X86, PROCESSORS, build_filter

X86_TABLE = Path("/usr/include/x86_64-linux-gnu/asm/unistd_64.h")
GENERIC_TABLE = Path("/usr/include/asm-generic/unistd.h")
ALLOW, KILL, EPERM, ENOSYS = 0x7FFF0000, 0x80000000, 0x00050001, 0x00050026
X86, ARM = PROCESSORS["x86_64"], PROCESSORS["aarch64"]


def _carried_out(program: bytes, number: int, *, audit: int, arguments: tuple[int, ...] = ()) -> int:
    """Give what classic BPF returns (kernel: Documentation/networking/filter.rst); independent of how it was built."""
    data = struct.pack("=iIQ6Q", number, audit, 0, *(*arguments, *(0,) * 6)[:6])
    steps = list(struct.iter_unpack("=HBBI", program))
    at = loaded = 0
    while True:
        code, yes, no, operand = steps[at]
        at += 1
        match code:
            case 0x20:
                (loaded,) = struct.unpack_from("=I", data, operand)
            case 0x06:
                return operand
            case 0x15 | 0x35 | 0x45:
                holds = {0x15: loaded == operand, 0x35: loaded >= operand, 0x45: bool(loaded & operand)}[code]
                at += yes if holds else no


@pytest.mark.skipif(not X86_TABLE.exists(), reason="headers of the kernel: linux-libc-dev")
def test_the_numbers_of_x86_are_those_of_the_kernels_header():
    table = dict(re.findall(r"#define __NR_(\w+) (\d+)", X86_TABLE.read_text()))
    ours = {name: numbers[0] for name, numbers in CALLS.items()} | CALLS_OF_X86
    assert {name: int(table[name]) for name in ours} == ours


@pytest.mark.skipif(not GENERIC_TABLE.exists(), reason="headers of the kernel: linux-libc-dev")
def test_the_numbers_of_other_processors_are_those_of_the_kernels_header():
    """`newfstatat` and `lseek` stand there by the name that both word sizes share."""
    found = re.findall(r"#define __NR(?:3264)?_(\w+) (\d+)", GENERIC_TABLE.read_text())
    table = {name: int(number) for name, number in found}
    table["newfstatat"] = table["fstatat"]
    assert {name: table[name] for name in CALLS} == {name: numbers[1] for name, numbers in CALLS.items()}


@pytest.mark.parametrize("processor", [X86, ARM], ids=["x86-64", "ARM"])
def test_what_is_in_the_list_is_allowed_and_nothing_else(processor):
    program = build_filter(processor)
    listed = {numbers[processor.column] for numbers in CALLS.values()}
    listed |= set(CALLS_OF_X86.values()) if processor is X86 else set()
    allowed = {number for number in range(600) if _carried_out(program, number, audit=processor.audit) == ALLOW}
    reads_limits, copies_a_number = (302, 72) if processor is X86 else (261, 25)
    assert allowed == listed | {reads_limits, copies_a_number}


def test_a_thread_may_be_made_and_a_process_not():
    """clone(2): CLONE_THREAD is 0x10000; 17 is SIGCHLD, what fork passes."""
    program = build_filter(X86)
    assert _carried_out(program, 56, audit=X86.audit, arguments=(0x3D0F00,)) == ALLOW
    assert _carried_out(program, 56, audit=X86.audit, arguments=(17,)) == EPERM
    assert _carried_out(program, 435, audit=X86.audit) == ENOSYS


def test_limits_are_read_and_never_set():
    program = build_filter(X86)
    for pointer in (1, 1 << 40):
        assert _carried_out(program, 302, audit=X86.audit, arguments=(0, 7, pointer)) == EPERM


def test_no_signal_is_ordered_for_another_process():
    """By F_SETOWN and F_SETSIG the kernel sends any process any signal, also SIGKILL (fcntl(2), "Managing signals")."""
    program = build_filter(X86)
    used = {
        "F_DUPFD": 0,
        "F_GETFD": 1,
        "F_SETFD": 2,
        "F_GETFL": 3,
        "F_SETFL": 4,
        "F_SETLKW": 7,
        "F_DUPFD_CLOEXEC": 1030,
    }
    refused = {"F_SETOWN": 8, "F_SETSIG": 10, "F_SETOWN_EX": 15, "F_SETLEASE": 1024, "F_NOTIFY": 1026}
    for command in used.values():
        assert _carried_out(program, 72, audit=X86.audit, arguments=(3, command)) == ALLOW
    for command in refused.values():
        assert _carried_out(program, 72, audit=X86.audit, arguments=(3, command)) == EPERM


def test_calls_of_another_kind_of_processor_end_the_process():
    """A 64-bit process can make calls of 32 bits, whose numbers mean others (seccomp(2), CAVEATS)."""
    program = build_filter(X86)
    assert _carried_out(program, 0, audit=0x40000003) == KILL
    assert _carried_out(program, 0x40000000, audit=X86.audit) == EPERM


@pytest.mark.parametrize(("number", "before"), [(257, 3), (2, 2)], ids=["openat", "open"])
@pytest.mark.parametrize(("mode", "then"), [(0o777, ALLOW), (0o4755, EPERM), (0o2755, EPERM), (0o1777, EPERM)])
def test_no_file_is_made_that_runs_with_its_owners_rights(number, before, mode, then):
    """inode(7): S_ISUID, S_ISGID and S_ISVTX are 04000, 02000 and 01000."""
    arguments = (*(0,) * before, mode)
    assert _carried_out(build_filter(X86), number, audit=X86.audit, arguments=arguments) == then
