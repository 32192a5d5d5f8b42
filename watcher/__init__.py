"""Card art in a folder becomes print-ready sheets with exactly aligned backs.

The packages are the data path, in this order: inbox, intake, orders, art, layout, sheet, outbox; records are written
on the way. `pipeline.py` alone sees every stage, and imports point upstream only (tests/test_house.py holds that).
"""

__version__ = "0.1.0"
