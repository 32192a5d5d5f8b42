"""Which files are taken as the colour profile of a press. Source: ICC.1:2010 7.2 (profile header), 7.2.5 (classes)."""

import pytest

from watcher.settings.press_profile import Inks, NoPressProfile, read_press_profile


@pytest.mark.parametrize(("space", "inks"), [(b"GRAY", Inks.GREY), (b"RGB ", Inks.RGB), (b"CMYK", Inks.CMYK)])
def test_an_output_profile_for_common_inks_is_taken(tmp_path, profile_head, space, inks):
    file = tmp_path / "press.icc"
    file.write_bytes(profile_head(space=space))
    profile = read_press_profile(file)
    assert (profile.inks, profile.data) == (inks, file.read_bytes())


@pytest.mark.parametrize(
    ("head", "said"),
    [
        ({"kind": b"mntr", "space": b"RGB "}, "is a profile of a screen, not of a press"),
        ({"kind": b"scnr"}, "of a scanner or camera"),
        ({"kind": b"link"}, "that links two devices"),
        ({"space": b"Lab "}, "other inks than grey, RGB or CMYK"),
        ({"space": b"6CLR"}, "other inks than grey, RGB or CMYK"),
        ({"signature": b"xxxx"}, "is no colour profile"),
        ({"size": 4000}, "is not complete (128 of 4000 bytes)"),
    ],
)
def test_anything_else_is_refused_with_what_it_is(tmp_path, profile_head, head, said):
    file = tmp_path / "press.icc"
    file.write_bytes(profile_head(**head))
    with pytest.raises(NoPressProfile) as refused:
        read_press_profile(file)
    assert said in str(refused.value)


def test_no_file_and_a_folder_are_refused(tmp_path):
    for path in (tmp_path / "none.icc", tmp_path):
        with pytest.raises(NoPressProfile, match="is not there"):
            read_press_profile(path)


def test_a_screens_profile_is_a_plain_fault_of_the_settings(faults, tmp_path, profile_head):
    (tmp_path / "screen.icc").write_bytes(profile_head(kind=b"mntr", space=b"RGB "))
    assert faults({"printers.laser": 'output_profile = "screen.icc"'}) == [
        'printers.laser.output_profile is "screen.icc"; the file is a profile of a screen, not of a press; '
        "name the colour profile (.icc) of the press, or leave this out"
    ]


def test_a_press_profile_with_conversion_is_taken(load, least, tmp_path, profile_head):
    (tmp_path / "press.icc").write_bytes(profile_head())
    settings = load(least + 'output_profile = "press.icc"\nconvert = true\n')
    assert settings.printers["laser"].convert
    assert settings.printers["laser"].output_profile == tmp_path / "press.icc"
