"""What no other system than Linux has is reached nowhere else; what moves or removes files stands in one place.

Windows and macOS are not at hand: `mypy --platform win32` and `--platform darwin` are the one half of this (.ci/run),
what types cannot tell is the other. Source of the lists: the library reference of Python 3.11, "Availability: Unix" and
"not Windows".
"""

import ast

import pytest

from tests.sources import MODULES, PACKAGE, forget, nodes_of, parsed

NAMES = {path: path.relative_to(PACKAGE).as_posix() for path in MODULES}

POSIX_MODULES = {"crypt", "curses", "fcntl", "grp", "nis", "posix", "pty", "pwd", "readline", "resource", "spwd"}
POSIX_MODULES |= {"syslog", "termios", "tty"}
POSIX_NAMES = {
    "os": """chown chroot confstr eventfd fchmod fchown fork forkpty fstatvfs getegid geteuid getgid getgroups
        getloadavg getpgid getpgrp getpriority getresuid getsid getuid initgroups killpg lchmod lchown lockf
        major makedev memfd_create minor mkfifo mknod nice openpty
        O_CLOEXEC O_DIRECTORY O_NOCTTY O_NOFOLLOW O_NONBLOCK O_PATH O_SYNC
        O_TMPFILE pathconf pidfd_open pipe2 posix_fadvise posix_fallocate posix_spawn pread preadv pwrite pwritev
        register_at_fork sched_getaffinity sched_setaffinity sched_yield sendfile setegid seteuid setgid setgroups
        setpgid setpriority setsid setuid splice statvfs sync sysconf ST_RDONLY tcgetpgrp tcsetpgrp ttyname uname wait
        wait3 wait4 waitid WNOHANG""",
    "signal": """alarm pause pthread_kill pthread_sigmask setitimer siginterrupt sigpending sigtimedwait sigwait
        SIGALRM SIGBUS SIGCHLD SIGCONT SIGHUP SIGKILL SIGPIPE SIGQUIT SIGSTOP SIGTSTP SIGUSR1 SIGUSR2 SIGXCPU
        SIGXFSZ""",
    "socket": "AF_NETLINK AF_PACKET AF_UNIX CMSG_LEN SCM_RIGHTS SO_PEERCRED SO_REUSEPORT",
    "select": "devpoll epoll kqueue poll",
    "time": "clock_gettime clock_settime tzset",
    "mmap": "MAP_PRIVATE MAP_SHARED PROT_READ PROT_WRITE",
}
FORBIDDEN = {(module, name) for module, names in POSIX_NAMES.items() for name in names.split()}
POSIX_PLACES = ("/proc/", "/dev/", "/sys/", "/etc/", "/var/", "/usr/")
POSIX_WORDS = {"preexec_fn", "pass_fds", "forkserver", "fork"}

# Its places are passed over where they are not there, and rights to them are only ever given on Linux.
LISTS_OF_PLACES = {"work/walls/places.py"}


@pytest.fixture(autouse=True, scope="module")
def _forget_the_sources():
    yield
    forget()


def _is_guard(test: ast.expr) -> bool:
    """Whether a condition asks which system this is."""
    return any(ast.unparse(node) == "sys.platform" for node in ast.walk(test) if isinstance(node, ast.Attribute))


def _leaves_the_others(node: ast.AST) -> bool:
    """Whether what follows in the same block is reached on some systems only."""
    if isinstance(node, ast.Assert):
        return _is_guard(node.test)
    return isinstance(node, ast.If) and _is_guard(node.test) and isinstance(node.body[-1], ast.Return | ast.Raise)


def _unguarded(node: ast.AST) -> list[ast.AST]:
    """Every node that is reached on any system: not in an `if` on `sys.platform`, nor behind one that returns."""
    found: list[ast.AST] = []
    _add_unguarded(node, found)
    return found


def _add_unguarded(node: ast.AST, found: list[ast.AST]) -> None:
    if isinstance(node, ast.If | ast.IfExp) and _is_guard(node.test):
        return
    if isinstance(node, ast.BoolOp) and isinstance(node.op, ast.And) and _is_guard(node.values[0]):
        return
    found.append(node)
    for name in node._fields:
        value = getattr(node, name, None)
        for child in value if isinstance(value, list) else (value,):
            if isinstance(child, ast.AST):
                _add_unguarded(child, found)
                if _leaves_the_others(child):
                    break


def _is_of_posix(node: ast.AST) -> bool:
    match node:
        case ast.Import(names=names):
            return any(name.name in POSIX_MODULES for name in names)
        case ast.ImportFrom(module=module, names=names):
            return module in POSIX_MODULES or any((module, name.name) in FORBIDDEN for name in names)
        case ast.Attribute(value=ast.Name(id=module), attr=name):
            return (module, name) in FORBIDDEN
        case ast.Call(func=ast.Attribute(value=ast.Name(id="ctypes"), attr="CDLL"), args=[ast.Constant(value=None)]):
            return True
        case ast.keyword(arg=word):
            return word in POSIX_WORDS
        case ast.Constant(value=str() as text):
            return text.startswith(POSIX_PLACES) or text in POSIX_WORDS
    return False


def _reaches(tree: ast.Module) -> list[str]:
    return [ast.unparse(node) for node in _unguarded(tree) if _is_of_posix(node)]


def test_nothing_of_posix_alone_is_reached_without_asking_which_system_this_is():
    found = {(NAMES[file], line) for file in MODULES for line in _reaches(parsed(file))}
    assert {(name, line) for name, line in found if name not in LISTS_OF_PLACES or "/" not in line} == set()


@pytest.mark.parametrize(
    "source",
    [
        "import fcntl",
        "def f():\n    import resource",
        "from os import fork",
        "import os\nos.fork()",
        "os.kill(1, signal.SIGKILL)",
        "ctypes.CDLL(None)",
        "open('/proc/self/statm')",
        "subprocess.Popen([], preexec_fn=f)",
        "os.open('a', os.O_PATH)",
        "if sys.argv:\n    os.getuid()",
        "def f():\n    if x:\n        return\n    os.getuid()",
        "if sys.platform == 'linux':\n    pass\nos.getuid()",
    ],
)
def test_the_search_finds_them(source):
    assert len(_reaches(ast.parse(source))) == 1


@pytest.mark.parametrize(
    "source",
    [
        "if sys.platform == 'linux':\n    os.fork()",
        "def f():\n    if sys.platform != 'linux':\n        return\n    os.fork()",
        "def f():\n    assert sys.platform == 'linux'\n    os.fork()",
        "def f():\n    return sys.platform != 'win32' and os.getuid()",
        "getattr(os, 'O_NOFOLLOW', 0)",
    ],
)
def test_the_search_lets_pass_what_has_been_asked(source):
    assert _reaches(ast.parse(source)) == []


# -- one place for what moves and removes ------------------------------------------------------------------------------

MOVING = {"rename", "unlink", "rmdir", "hardlink_to", "symlink_to", "link_to", "renames", "removedirs"}
OF_MODULES = {("os", "remove"), ("os", "replace"), ("os", "link"), ("os", "symlink")}
OF_MODULES |= {("shutil", name) for name in ("rmtree", "move", "copytree")}
RIGHTS = {
    "disk/calls.py": "takes the read-only mark off a file that is removed",
    "settings/edit.py": "gives a file that is written anew the rights it had",
    "settings/secret.py": "closes the folder of the secret to others; Windows keeps a person's folder closed by itself",
    "commands/app.py": "new files are the person's own",
    "commands/settings_file.py": "or may be read by others, as the settings say",
}


def _moves(node: ast.AST) -> bool:
    if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)):
        return False
    module = node.func.value.id if isinstance(node.func.value, ast.Name) else ""
    is_path_replace = node.func.attr == "replace" and len(node.args) == 1 and not node.keywords
    return node.func.attr in MOVING or (module, node.func.attr) in OF_MODULES or is_path_replace


def test_files_are_renamed_linked_and_removed_in_one_place_which_waits_for_other_programs():
    nodes = ((NAMES[file], node) for file in MODULES for node in nodes_of(file))
    assert {name for name, node in nodes if _moves(node)} == {"disk/calls.py"}


@pytest.mark.parametrize(
    "source", ["path.unlink()", "shutil.rmtree(path)", "os.replace(a, b)", "temporary.replace(path)"]
)
def test_the_search_finds_what_moves(source):
    assert [node for node in ast.walk(ast.parse(source)) if _moves(node)] != []


def test_rights_of_files_are_set_where_windows_knows_them_too():
    """There `chmod` knows the read-only mark and nothing else (os.chmod)."""
    setting = {
        NAMES[file]
        for file in MODULES
        for node in nodes_of(file)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in {"chmod", "umask"}
    }
    assert setting <= RIGHTS.keys()
