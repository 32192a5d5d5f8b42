"""Check the settings of printers, and of the engine: edges, corrections, press profile, queue and login."""

from collections.abc import Iterator, Mapping

from watcher.settings import faults
from watcher.settings.folders import FolderSettings
from watcher.settings.name_relations import true_place
from watcher.settings.press_profile import NoPressProfile, read_press_profile
from watcher.settings.tables import ParsedFile, pick
from watcher.terms import Edge, Engine, Send

_UPRIGHT_EDGES = (Edge.LEFT, Edge.RIGHT)


def check_edges(parsed: ParsedFile) -> Iterator[str]:
    """Check that the leading edge and the guide edge meet in a corner."""
    for printer in parsed.printers.values():
        lead, guide = printer.model.lead, printer.model.guide
        if lead and guide and printer.sound("lead", "guide") and (lead in _UPRIGHT_EDGES) == (guide in _UPRIGHT_EDGES):
            choices = (Edge.TOP, Edge.BOTTOM) if lead in _UPRIGHT_EDGES else _UPRIGHT_EDGES
            yield printer.fault("guide", f'use "{choices[0]}" or "{choices[1]}", an edge that meets lead = "{lead}"')


def check_alignments(parsed: ParsedFile) -> Iterator[str]:
    """Check that each correction belongs to a sheet that exists."""
    for printer in parsed.printers.values():
        align = printer.written.get("align")
        for name, written in align.items() if isinstance(align, Mapping) else ():
            if not pick(parsed.sheets, name):
                choices = " or ".join(faults.show(sheet) for sheet in parsed.sheets) or "a sheet of this file"
                yield faults.fault((*printer.key, "align", name), written, f"no sheet has this name; use {choices}")


def check_engine(parsed: ParsedFile) -> Iterator[str]:
    """Check that a cluster has an address."""
    service = parsed.service
    if not service.sound("engine", "scheduler") or service.model.engine is Engine.LOCAL:
        return
    if not service.model.scheduler:
        yield service.fault("engine", 'write the address of the scheduler too: scheduler = "tcp://HOST:8786"')


def check_press(parsed: ParsedFile) -> Iterator[str]:
    """Check that `output_profile` is the profile of a press, and that nothing is converted without one."""
    for printer in parsed.printers.values():
        if not printer.sound("output_profile"):
            continue
        if printer.model.output_profile is None:
            if printer.sound("convert") and printer.model.convert:
                yield printer.fault("convert", "write the colour profile of the press too: output_profile")
            continue
        try:
            read_press_profile(printer.model.output_profile)
        except NoPressProfile as found:
            way_out = f"the file {found}; name the colour profile (.icc) of the press, or leave this out"
            yield printer.fault("output_profile", way_out)


def check_queues(parsed: ParsedFile) -> Iterator[str]:
    """Check that what belongs to a queue has one, and that a trusted certificate belongs to an encrypted one."""
    for printer in parsed.printers.values():
        if not printer.sound("queue"):
            continue
        queue = printer.model.queue
        for key in ("send", "fingerprint", "login_file"):
            if not queue and key in printer.written and printer.sound(key) and printer.written[key] != Send.ASKED:
                yield printer.fault(key, 'write the address of the printer too: queue = "ipps://HOST/ipp/print"')
        if queue and printer.sound("fingerprint") and printer.model.fingerprint and not queue.startswith("ipps"):
            yield printer.fault(
                "queue", "use ipps://; with ipp:// no certificate is shown that could be the one you trust"
            )


def check_login_files(parsed: ParsedFile) -> Iterator[str]:
    """Check that names and passwords lie where no sync program takes them along."""
    folders = [parsed.path.parent]
    folders += [getattr(parsed.folders.model, key) for key in FolderSettings.model_fields if parsed.folders.sound(key)]
    for printer in parsed.printers.values():
        login = printer.model.login_file
        if not login or not printer.sound("login_file"):
            continue
        if any(true_place(folder) in true_place(login).parents for folder in folders):
            yield printer.fault("login_file", "use a file outside the print folder, which others may see or copy")


PRINTER_CHECKS = (
    check_edges,
    check_alignments,
    check_press,
    check_engine,
    check_queues,
    check_login_files,
)
