"""CP-SAT, the solver of whole-number equations of ortools; loaded when it is asked, for it takes half a second."""

from types import ModuleType


def cp_sat() -> ModuleType:
    """Give `cp_model`, with which its models are written and solved."""
    from ortools.sat.python import cp_model

    return cp_model
