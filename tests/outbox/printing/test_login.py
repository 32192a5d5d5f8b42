"""Names and passwords: out of a file of the owner's alone, and shown as the standards say."""

import os
from pathlib import Path

import pytest

from watcher.errors import PrinterRefused
from watcher.outbox.printing.login import Login, authorization, digest_answer, read_login

MUFASA = Login(file=Path("login"), name="Mufasa", password="Circle of Life")
CHALLENGE = {
    "realm": "http-auth@example.org",
    "qop": "auth, auth-int",
    "nonce": "7ypf/xlj9XXwfDPEoM4URrv/xwf94BcCAzFZH4GiTo0v",
    "opaque": "FQhe/qaU925kfnzjCev0ciny7QMkPqMAFRtzCUYo5tdS",
}
BASIC, DIGEST = 'Basic realm="CUPS"', 'Digest realm="r", nonce="n", qop="auth", algorithm=MD5'


@pytest.fixture
def folder(tmp_path):
    place = tmp_path / "print-folder"
    place.mkdir()
    return place


@pytest.fixture
def written(tmp_path):
    def write(text="anna\nsecret\n", mode=0o600):
        file = tmp_path / "login"
        file.write_text(text)
        file.chmod(mode)
        return file

    return write


def test_the_first_line_is_the_name_and_the_second_the_password(written, folder):
    login = read_login(written("anna\r\n pass word \n"), folder)

    assert (login.name, login.password) == ("anna", " pass word ")


def test_a_password_is_shown_nowhere(written, folder):
    assert "secret" not in repr(read_login(written(), folder))


@pytest.mark.parametrize("mode", [0o640, 0o604, 0o644, 0o620])
@pytest.mark.skipif(not hasattr(os, "getuid"), reason="this system keeps rights elsewhere")
def test_a_file_that_others_may_read_is_refused_with_the_way_out(written, folder, mode):
    with pytest.raises(PrinterRefused, match="can be read by others; run: chmod 600"):
        read_login(written(mode=mode), folder)


def test_a_device_is_refused_before_anything_is_read_of_it(folder):
    with pytest.raises(PrinterRefused, match="is no file"):
        read_login(Path(os.devnull), folder)


@pytest.mark.skipif(not hasattr(os, "getuid") or os.getuid() != 0, reason="only root can give a file away")
def test_a_file_of_another_user_is_refused(written, folder):
    file = written()
    os.chown(file, 12345, -1)

    with pytest.raises(PrinterRefused, match="belongs to another user"):
        read_login(file, folder)


def test_a_file_in_the_print_folder_is_refused_even_through_a_link(written, folder, tmp_path):
    file = written().rename(folder / "login")
    (tmp_path / "link").symlink_to(file)

    for place in (file, tmp_path / "link"):
        with pytest.raises(PrinterRefused, match="lies in the print folder"):
            read_login(place, folder)


@pytest.mark.parametrize("text", ["", "anna", "\nsecret", "anna\n\n", "an:na\nsecret"])
def test_a_file_without_two_lines_is_refused(written, folder, text):
    with pytest.raises(PrinterRefused, match="needs two lines"):
        read_login(written(text), folder)


def test_a_missing_file_and_a_folder_are_refused(folder, tmp_path):
    with pytest.raises(PrinterRefused, match="No such file"):
        read_login(tmp_path / "nowhere", folder)
    (tmp_path / "place").mkdir(mode=0o700)
    with pytest.raises(PrinterRefused, match="cannot be read"):
        read_login(tmp_path / "place", folder)


@pytest.mark.parametrize(
    ("algorithm", "response"),
    [
        ("MD5", "8ca523f5e9506fed4657c9700eebdbec"),
        ("SHA-256", "753927fa0e85d155564e2e272a28d1802ca10daf4496794697cf8db5856cb6c1"),
    ],
)
def test_the_worked_digest_of_the_standard(algorithm, response):
    """Source: RFC 7616 3.9.1."""
    asked = {**CHALLENGE, "algorithm": algorithm}
    ours = "f2/wE4q74E6zIJEtWaHKaf5wv/H5QzzpXusqGemxURZJ"

    header = digest_answer(MUFASA, asked, "GET:/dir/index.html", "00000001", ours)

    assert f'response="{response}"' in header
    assert 'username="Mufasa"' in header
    assert "qop=auth, nc=00000001" in header


def test_digest_is_taken_before_basic():
    answer = authorization(MUFASA, [BASIC, DIGEST], uri="/ipp/print", basic_is_safe=True)

    assert answer().startswith("Digest ")
    assert "nc=00000002" in answer()


def test_a_password_goes_as_it_is_only_where_nobody_else_reads_it():
    """Source of the pair: RFC 7617 section 2."""
    login = Login(file=Path("login"), name="Aladdin", password="open sesame")

    assert authorization(login, [BASIC], uri="/", basic_is_safe=True)() == "Basic QWxhZGRpbjpvcGVuIHNlc2FtZQ=="
    assert authorization(login, [BASIC], uri="/", basic_is_safe=False) is None


@pytest.mark.parametrize("challenge", ["", "Negotiate", 'Digest realm="r", algorithm=MD5-sess', "Digest ,,=,", "Basic"])
def test_odd_challenges_are_answered_only_where_they_are_known(challenge):
    answer = authorization(MUFASA, [challenge], uri="/", basic_is_safe=False)

    assert answer is None or answer().startswith("Digest ")
