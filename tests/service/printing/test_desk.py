"""A printer that cannot be sent to is told in one plain line."""


def test_a_printer_without_an_address_is_a_plain_line(print_folder, inline_workers, drop_pair, once) -> None:
    drop_pair(print_folder / "inbox")
    once(print_folder)
    (print_folder / "outbox/lantern").rename(print_folder / "outbox/lantern print")
    once(print_folder)
    said = (print_folder / "outbox/lantern not printed/printing.txt").read_text()
    assert "Write queue =" in said
