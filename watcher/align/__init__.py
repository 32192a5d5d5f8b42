"""Align: the conversation after which a printer's turning is known and its backs land behind their fronts.

In: answers of a person, readings, or two scans of a sheet. Out: PDFs to print, the lines that settings.toml should
have, and a correction kept in `alignment.toml` beside it. May import settings, layout, sheet (fonts and the PDF in the
making), art (headers and pixels: how an untrusted picture is opened), outbox.instruction_words (both units), records,
disk, terms, units and errors. Of all this the pipeline needs `kept.correction_for` and `bleed_check` alone.
"""
