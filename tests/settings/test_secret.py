"""The secret by which a yes is known: the owner's alone, one for each print folder."""

import hashlib
import hmac
import os
from pathlib import Path

import pytest

from watcher.settings.secret import (
    NoSecret,
    config_folder,
    new_secret,
    read_secret,
    secret_file,
    signature,
    write_secret,
)


@pytest.fixture(autouse=True)
def configuration(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    return tmp_path / "config" / "print-folder"


@pytest.fixture
def shop(tmp_path):
    (tmp_path / "shop").mkdir()
    return tmp_path / "shop"


@pytest.fixture
def kept(shop):
    """The file of a secret that is well."""
    write_secret(shop, new_secret())
    return secret_file(shop)


def test_what_was_written_is_read(shop, kept):
    secret = new_secret()
    write_secret(shop, secret)
    assert read_secret(shop) == secret
    assert len(secret) == 32


def test_nobody_else_can_read_it_whatever_the_umask(shop, kept, configuration):
    os.umask(0)
    write_secret(shop, new_secret())
    assert (kept.stat().st_mode & 0o777, configuration.stat().st_mode & 0o777) == (0o600, 0o700)


def test_none_was_made_yet(shop):
    assert read_secret(shop) is None


def test_each_print_folder_has_its_own_by_whatever_name_it_is_called(shop, tmp_path):
    (tmp_path / "link").symlink_to(shop)
    assert secret_file(tmp_path / "link") == secret_file(shop) != secret_file(tmp_path / "other")


@pytest.mark.parametrize("mode", [0o640, 0o604, 0o620])
def test_one_that_others_can_reach_is_refused_with_the_way_out(shop, kept, mode):
    kept.chmod(mode)
    with pytest.raises(NoSecret, match="can be read by others. Delete it, so that it is made anew, then: print-folder"):
        read_secret(shop)


@pytest.mark.skipif(not hasattr(os, "getuid") or os.getuid() != 0, reason="needs the rights to give a file away")
def test_one_of_another_person_is_refused(shop, kept):
    os.chown(kept, 65534, 65534)
    with pytest.raises(NoSecret, match="belongs to another user"):
        read_secret(shop)


@pytest.mark.parametrize("content", [b"", b"00" * 31, b"not hex", b"\xff" * 64])
def test_one_that_is_damaged_is_refused(shop, kept, content):
    kept.write_bytes(content)
    with pytest.raises(NoSecret, match="is damaged"):
        read_secret(shop)


def test_a_link_or_a_pipe_in_its_place_is_refused_and_not_waited_for(shop, kept, tmp_path):
    kept.rename(tmp_path / "elsewhere")
    kept.symlink_to(tmp_path / "elsewhere")
    with pytest.raises(NoSecret, match="cannot be read"):
        read_secret(shop)
    kept.unlink()
    os.mkfifo(kept)
    with pytest.raises(NoSecret, match="cannot be read"):
        read_secret(shop)


def test_a_configuration_in_the_print_folder_is_no_place_for_it(shop, monkeypatch):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(shop))
    with pytest.raises(NoSecret, match="lies in the print folder, where others may write"):
        read_secret(shop)


@pytest.mark.parametrize(
    ("environment", "system", "place"),
    [
        ({}, "linux", ".config/print-folder"),
        ({"XDG_CONFIG_HOME": "relative"}, "linux", ".config/print-folder"),  # XDG Base Directory 0.8: it is ignored
        ({}, "darwin", "Library/Application Support/print-folder"),
    ],
)
def test_the_configuration_folder_of_each_system(environment, system, place):
    assert config_folder(environment, system) == Path.home() / place


def test_the_configuration_folder_of_windows():
    assert config_folder({"APPDATA": "roaming"}, "win32") == Path("roaming/print-folder")


def test_a_signature_is_the_one_of_rfc_4231():
    """Test case 2 of RFC 4231: key "Jefe", data "what do ya want for nothing?"."""
    wanted = "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843"
    assert signature(b"Jefe", "what do ya want for nothing?") == wanted
    assert hmac.new(b"k", b"\xed\xb2\x80", hashlib.sha256).hexdigest() == signature(b"k", "\udc80")
