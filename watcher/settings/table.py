"""What every table of the settings is: a frozen record whose attributes are the keys of the file."""

from pydantic import BaseModel, ConfigDict


class Table(BaseModel):
    """One table of the settings file: frozen, unknown keys refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)
