"""Cautions that go with a species: dust, treatment, stain, pests."""

from pithline.tables import read_table

__all__ = ["wood_cautions"]


def wood_cautions(name: str) -> tuple[str, ...]:
    """What to mind when a species is worked.

    Parameters
    ----------
    name : str
        Name of the species as the tables have it.

    Returns
    -------
    tuple of str
        Sentences, those of the species first, then those of all wood.

    Source
    ------
    wood_cautions.csv; from memory and common practice
    """
    rows = read_table("pithline.wood", "wood_cautions").rows
    own = [row["text"] for row in rows if row["species"] == name]
    return (*own, *(row["text"] for row in rows if row["species"] == "all"))
