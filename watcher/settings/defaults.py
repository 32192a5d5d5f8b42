"""`[defaults]`: what holds where a card says nothing else."""

from watcher.settings import fields
from watcher.settings.table import Table


class DefaultsSettings(Table):
    """`[defaults]`: what holds where a card says nothing else.

    Attributes:
        card: for art at the top level of the inbox.
        label: the size of the labels for bundles of finished cards, mm; None: no labels.
        bundle: cards in a bundle.
    """

    card: fields.Name = "invitation"
    label: fields.CardSize | None = None
    bundle: fields.Quantity = 50
