"""What goes to the printer is what lies in the folder, with all that is asked of it."""

import tomllib

import tomli_w

from tests.stand_in_printer import media


def test_the_ticket_that_goes_with_it(made) -> None:
    sheets = (made.outbox / "lantern/lantern_sheets.pdf").read_bytes()
    made.rename("lantern", "lantern print")
    made.until(lambda: made.done)
    asked = made.sent()
    assert asked["copies"] == [3]
    assert asked["sides"] == ["two-sided-long-edge"]
    assert asked["print-scaling"] == ["none"]
    size = {"x-dimension": 21590, "y-dimension": 27940}
    edges = {f"media-{edge}-margin": 423 for edge in ("top", "right", "bottom", "left")}
    assert asked["media-col"] == [{"media-size": size, "media-source": "main", "media-type": "cardstock", **edges}]
    assert asked["multiple-document-handling"] == ["separate-documents-collated-copies"]
    assert asked["job-hold-until"] == ["indefinite"]
    assert asked["job-name"][0].startswith("lantern sheets ")
    assert made.printer.jobs[1].document == sheets
    assert made.printer.asked.index("validate") < made.printer.asked.index("create")


def test_files_that_are_still_coming_are_waited_for(made) -> None:
    made.rename("lantern", "lantern print")
    sheets = made.outbox / "lantern print/lantern_sheets.pdf"
    data = sheets.read_bytes()
    sheets.write_bytes(data[: len(data) // 2])
    made.service.step(0)
    assert made.printer.asked == []
    sheets.write_bytes(data)
    made.service.printing._look_at = float("-inf")
    made.until(lambda: made.done)
    assert made.printer.jobs[1].document == data


def test_a_rim_of_four_zeros_is_never_asked_for(made) -> None:
    made.printer.attributes["media-col-database"] = [media(margin=0), media(margin=423)]
    made.printer.attributes["media-col-ready"] = [media(margin=0)]
    made.rename("lantern", "lantern print")
    made.until(lambda: made.done)
    assert made.sent()["media-col"][0]["media-top-margin"] == 423


def test_of_a_ticket_whose_settings_cannot_be_read_the_rims_are_those_of_today(made) -> None:
    ticket = made.outbox / "lantern/lantern_ticket.toml"
    tables = tomllib.loads(ticket.read_text())
    ticket.write_text(tomli_w.dumps(tables | {"settings": {"sheet": {"of": "another version"}}}))
    made.rename("lantern", "lantern print")
    made.until(lambda: made.done)
    assert made.sent()["media-col"][0]["media-top-margin"] == 423
