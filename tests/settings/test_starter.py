"""The starter files, and the print folder they make."""

import re

import pytest

from watcher.errors import ExitCode, ServiceStopped, WrongUsage
from watcher.layout.geometry import Margins
from watcher.settings import starter
from watcher.settings.amounts import parse_overs
from watcher.settings.card import CardSettings
from watcher.settings.cutter import CutterSettings
from watcher.settings.defaults import DefaultsSettings
from watcher.settings.folders import FolderSettings
from watcher.settings.load import load_settings
from watcher.settings.names import NameSettings
from watcher.settings.papers import find_paper
from watcher.settings.printer import AlignSettings, PrinterSettings
from watcher.settings.service import ServiceSettings
from watcher.settings.sheet import SheetSettings
from watcher.settings.starter import STARTERS, Choices, config_file, starter_text, write_print_folder
from watcher.settings.values import parse_length
from watcher.terms import Duplex, Flip, Prefer

TABLES = (
    AlignSettings,
    CardSettings,
    CutterSettings,
    DefaultsSettings,
    FolderSettings,
    NameSettings,
    PrinterSettings,
    ServiceSettings,
    SheetSettings,
)
ASLEEP = re.compile(r"^# (?=[a-z_]+ = |\[)", re.MULTILINE)
HOME = [kind for kind in STARTERS if kind.startswith("home")]


@pytest.fixture(params=STARTERS)
def kind(request):
    return request.param


@pytest.fixture
def made(tmp_path):
    """Make a print folder of a kind and load its settings."""

    def make(kind):
        return load_settings(write_print_folder(tmp_path / kind, Choices(kind=kind))[0])

    return make


def test_starters_are_there():
    assert STARTERS == ("home-laser", "home-inkjet", "shop")


def test_what_is_made_can_be_loaded(made, kind, tmp_path):
    settings = made(kind)

    assert settings.path == tmp_path / kind / "settings.toml"
    assert settings.defaults.card in settings.cards


def test_folders_are_made(made, kind, tmp_path):
    settings = made(kind)
    there = {path.relative_to(tmp_path / kind).as_posix() for path in (tmp_path / kind).rglob("*") if path.is_dir()}

    assert there == {"inbox", "outbox", "held", "archive", "state", *(f"inbox/{card}" for card in settings.cards)}


def test_what_was_made_is_told(tmp_path, kind):
    made = write_print_folder(tmp_path / "new" / "folder", Choices(kind=kind))

    assert made[0] == tmp_path / "new" / "folder" / "settings.toml"
    assert all(path.exists() for path in made)
    assert {*made} == set((tmp_path / "new" / "folder").rglob("*"))


def test_settings_are_written_as_shipped(tmp_path, kind):
    path = write_print_folder(tmp_path, Choices(kind=kind))[0]

    assert path.read_bytes() == config_file(f"{kind}.toml").read_bytes()
    assert b"\r" not in path.read_bytes()


def test_settings_that_are_there_stay(tmp_path, kind):
    (tmp_path / "settings.toml").write_text("mine")

    with pytest.raises(WrongUsage, match="is there already and stays as it is") as refused:
        write_print_folder(tmp_path, Choices(kind=kind))
    assert refused.value.exit_code is ExitCode.USAGE
    assert [path.name for path in tmp_path.iterdir()] == ["settings.toml"]
    assert (tmp_path / "settings.toml").read_text() == "mine"


def test_files_that_are_there_already_do_no_harm(tmp_path, kind):
    (tmp_path / "inbox").mkdir()
    (tmp_path / "inbox" / "spring_front.png").write_bytes(b"art")
    write_print_folder(tmp_path, Choices(kind=kind))

    assert (tmp_path / "inbox" / "spring_front.png").read_bytes() == b"art"


def test_file_in_the_place_of_the_folder(tmp_path):
    (tmp_path / "file").touch()

    with pytest.raises(WrongUsage, match="is a file"):
        write_print_folder(tmp_path / "file", Choices(kind="shop"))


def test_place_below_a_file(tmp_path):
    (tmp_path / "file").touch()

    with pytest.raises(ServiceStopped, match="cannot be made"):
        write_print_folder(tmp_path / "file" / "folder", Choices(kind="shop"))


def test_unknown_kind_lists_those_there_are(tmp_path):
    with pytest.raises(WrongUsage, match='no starter settings "bakery"') as refused:
        write_print_folder(tmp_path / "new", Choices(kind="bakery"))
    assert all(kind in str(refused.value) for kind in STARTERS)
    assert not (tmp_path / "new").exists()


def test_missing_data_file_is_told():
    with pytest.raises(WrongUsage, match=r"no-such\.toml is missing from this installation"):
        config_file("no-such.toml")


def test_installed_package_carries_the_starters_beside_its_code(tmp_path, monkeypatch):
    """A wheel has them in watcher/_config, and no config folder next to the package."""
    shipped = tmp_path / "watcher" / "_config" / "shop.toml"
    shipped.parent.mkdir(parents=True)
    shipped.write_text("# shipped", encoding="utf-8")
    monkeypatch.setattr(starter.resources, "files", lambda package: tmp_path / package)

    assert config_file("shop.toml") == shipped
    assert starter_text("shop") == "# shipped"


def test_every_key_stands_in_each_starter(kind):
    keys = {key for table in TABLES for key in table.model_fields} - {"name"}
    assert {key for key in keys if not re.search(rf"\b{key}\b", starter_text(kind))} == set()


def test_lines_asleep_show_the_defaults_or_a_sound_example(kind, tmp_path, profile_head):
    """Waking every sleeping line gives settings that load, and leaves what is at its default as it was."""
    (tmp_path / "press.icc").write_bytes(profile_head())
    asleep, awake = (tmp_path / name for name in ("asleep.toml", "awake.toml"))
    asleep.write_text(starter_text(kind), encoding="utf-8")
    awake.write_text(ASLEEP.sub("", starter_text(kind)), encoding="utf-8")
    before, after = load_settings(asleep), load_settings(awake)

    assert awake.read_text(encoding="utf-8").count("\n# ") < asleep.read_text(encoding="utf-8").count("\n# ") - 20
    # their lines show examples; by default the archive keeps everything, and there is no cluster
    service = after.service.model_copy(update={"scheduler": None, "keep": None, "money": ""})
    assert (after.defaults, after.folders, after.names, service) == (
        before.defaults,
        before.folders,
        before.names,
        before.service,
    )
    examples = {
        "art_bleed": None,
        "common_back": None,
        "back_quarter": None,
        "fold": None,
        "envelope": None,
        "label": None,
        "bundle": None,
    }
    assert {name: card.model_copy(update=examples) for name, card in after.cards.items()} == dict(before.cards)


def test_every_line_is_explained_or_plain(kind):
    """Every key of the first card and the first sheet has its words beside it, on lines that fit a window."""
    text = starter_text(kind)
    first_card = text.split("[cards.invitation]")[1].split("[cards.")[0]

    assert max(map(len, text.splitlines())) <= 120
    assert all("#" in line.removeprefix("# ") for line in first_card.splitlines()[1:] if line.strip())


def test_state_must_be_on_a_local_disk(kind):
    line = next(line for line in starter_text(kind).splitlines() if line.startswith("# state ="))

    assert "local disk" in line


@pytest.mark.parametrize("kind", HOME)
def test_home_starters(made, kind):
    """The figures asked for: letter and A4, manual long edge, plain grids, one spare sheet, 200/120 ppi."""
    settings = made(kind)
    (printer,) = settings.printers.values()

    assert {sheet.size for sheet in settings.sheets.values()} == {find_paper("letter"), find_paper("A4")}
    assert (printer.duplex, printer.flip) == (Duplex.MANUAL, Flip.LONG_EDGE)
    for sheet in settings.sheets.values():
        assert (sheet.mixed_turns, sheet.prefer) == (False, Prefer.FEWEST_CUTS)
    for card in settings.cards.values():
        assert (card.overs, card.warn_ppi, card.hold_ppi) == (parse_overs("1 sheet"), 200, 120)


def test_rim_of_a_laser_printer(made):
    rims = {sheet.unprintable for sheet in made("home-laser").sheets.values()}

    assert rims == {Margins.all_round(parse_length("0.25 in"))}


def test_rim_of_an_inkjet_printer(made):
    """3 mm on three sides, 12.7 mm at the trailing edge (from memory)."""
    rims = {sheet.unprintable for sheet in made("home-inkjet").sheets.values()}

    assert rims == {Margins(*(parse_length(side) for side in ("3 mm", "3 mm", "12.7 mm", "3 mm")))}


def test_inkjet_starter_speaks_of_drying():
    assert "let the fronts dry" in starter_text("home-inkjet")


def test_two_invitations_fit_on_letter_in_the_inkjet_starter(made):
    """Turned a quarter, one above the other: 2 x 5 in and the gutter, with the least bleed above and below."""
    settings = made("home-inkjet")
    card = settings.card("invitation")
    sheet = settings.sheet_for(card)
    strip = sheet.size.height - sheet.unprintable.top - sheet.unprintable.bottom

    assert 2 * card.trim.width + sheet.gutter_for(card) + 2 * card.least_bleed <= strip
    assert 2 * card.trim.width + sheet.gutter_for(card) + 2 * card.bleed > strip


def test_shop_starter(made):
    """The figures asked for: SRA3 and 13 x 19 in, automatic, mixed turns, most cards, 5 % overs, 225/150 ppi."""
    settings = made("shop")
    (printer,) = settings.printers.values()

    assert {sheet.size for sheet in settings.sheets.values()} == {find_paper("SRA3"), find_paper("13 x 19")}
    assert printer.duplex is Duplex.AUTOMATIC
    for sheet in settings.sheets.values():
        assert (sheet.mixed_turns, sheet.prefer) == (True, Prefer.MOST_CARDS)
    for card in settings.cards.values():
        assert (card.overs, card.warn_ppi, card.hold_ppi) == (parse_overs("5 %"), 225, 150)


def test_both_worlds_are_served(made, kind):
    """5 x 7 in and metric cards out of the box, two-sided and one-sided, each with its usual bleed."""
    cards = made(kind).cards.values()
    sizes = [card.trim for card in cards]

    assert find_paper("A7 note card") in sizes
    assert find_paper("ISO A6") in sizes
    assert find_paper("EU business card") in sizes
    assert {card.sides for card in cards} == {1, 2}
    assert {card.bleed for card in cards} == {parse_length("0.125 in"), parse_length("3 mm")}


def test_the_press_lays_four_a5_and_eight_a6_on_sra3(made):
    """A rim of 5 mm: more than the 4.2 mm that IPP gives for lasers (423 hundredths). SRA3: 320 x 450 mm, ISO 217."""
    settings = made("shop")
    for name, across, up in (("a5-menu", (2, 148), (2, 210)), ("a6-card", (2, 148), (4, 105))):
        card = settings.card(name)
        sheet = settings.sheet_for(card)
        for (count, side), length in ((across, sheet.size.width), (up, sheet.size.height)):
            needed = count * side + (count - 1) * sheet.gutter_for(card) + 2 * card.bleed
            assert needed + 2 * sheet.unprintable.left <= length
        assert sheet.unprintable == Margins.all_round(parse_length("5 mm"))
