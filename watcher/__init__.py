"""Card art in a folder becomes print-ready sheets with exactly aligned backs.

Each room says in its `__init__` what comes in and what goes out; `tests/test_house.py` says which room may import
which.
"""

__version__ = "0.1.0"
