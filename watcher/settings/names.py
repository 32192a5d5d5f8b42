"""`[names]`: the words that say front and back."""

from watcher.settings import fields
from watcher.settings.table import Table


class NameSettings(Table):
    """`[names]`: the words in a name that say which side it is.

    The first of each list is the one that is proposed. English, German, French, Spanish and Portuguese, Italian,
    Dutch, the Nordic languages, Polish, Russian, Chinese and Japanese; from memory.
    """

    front: fields.SideWords = (
        "front",
        "Vorderseite",
        "vorne",
        "recto",
        "avant",
        "devant",
        "frente",
        "anverso",
        "fronte",
        "voorkant",
        "voorzijde",
        "forside",
        "framsida",
        "etupuoli",
        "przód",
        "лицо",
        "正面",
        "表",
    )
    back: fields.SideWords = (
        "back",
        "Rückseite",
        "hinten",
        "verso",
        "arrière",
        "derrière",
        "dorso",
        "reverso",
        "retro",
        "achterkant",
        "achterzijde",
        "bagside",
        "bakside",
        "baksida",
        "takapuoli",
        "tył",
        "оборот",
        "背面",
        "裏",
    )
