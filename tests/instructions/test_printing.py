"""How files are printed, for people: their names, and what a plan of sheets says of them."""

from tests.instructions.test_second_side import PLAN
from watcher.instructions.printing import LONGEST_NAME, PrintJob, file_names, printing_of
from watcher.instructions.second_side import Stack
from watcher.settings.printer import PrinterSettings
from watcher.terms import Copies, Flip, PageOrder


def test_files_are_called_as_they_lie_in_the_folder():
    assert file_names("lantern", ["1-fronts", "2-backs"]) == ("lantern_1-fronts.pdf", "lantern_2-backs.pdf")


def test_of_a_long_name_only_the_end_is_said():
    assert file_names("a" * LONGEST_NAME, ["sheets"]) == (f"{'a' * 40}_sheets.pdf",)
    assert file_names("a" * (LONGEST_NAME + 1), ["sheets"]) == ("…_sheets.pdf",)


def test_a_plan_of_different_sheets_by_hand_is_a_stack():
    printer = PrinterSettings(name="office", flip=Flip.LONG_EDGE, backs_order=PageOrder.N_TO_ONE)
    jobs = (PrintJob(files=("f.pdf", "b.pdf"), sheets=2),)
    printing = printing_of(PLAN, printer, jobs)
    assert (printing.jobs, printing.copies) == (jobs, Copies.PAGES)
    assert printing.stack == Stack(sheets=2, order=PageOrder.N_TO_ONE)
