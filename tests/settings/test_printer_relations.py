"""What a printer's queue, certificate and login want beside them."""

import pytest


@pytest.mark.parametrize("line", ['send = "made"', 'login_file = "/etc/login"', f'fingerprint = "{"0f" * 32}"'])
def test_what_belongs_to_a_queue_wants_its_address(faults, line):
    (found,) = faults({"printers.laser": line})

    assert found.startswith(f"printers.laser.{line.split()[0]} is")
    assert 'queue = "ipps://HOST/ipp/print"' in found


def test_a_starter_line_at_its_default_wants_none(faults):
    assert faults({"printers.laser": 'send = "asked"'}) == []


def test_a_certificate_is_trusted_only_where_one_is_shown(faults):
    lines = f'fingerprint = "{"0f" * 32}"\nqueue = '

    (found,) = faults({"printers.laser": lines + '"ipp://127.0.0.1/ipp/print"'})
    assert "use ipps://" in found
    assert faults({"printers.laser": lines + '"ipps://127.0.0.1/ipp/print"'}) == []


@pytest.mark.parametrize("place", ["login", "inbox/login", "../elsewhere/login"])
def test_a_password_lies_outside_every_folder_that_others_may_see(faults, place):
    lines = f'queue = "ipps://127.0.0.1/ipp/print"\nlogin_file = "{place}"'

    (found,) = faults({"printers.laser": lines}, '[folders]\noutbox = "../elsewhere"')
    assert "outside the print folder" in found


def test_a_password_beside_the_print_folder_is_well(faults):
    assert faults({"printers.laser": 'queue = "ipps://h/ipp/print"\nlogin_file = "../login"'}) == []
