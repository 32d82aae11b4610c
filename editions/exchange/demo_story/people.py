"""Who is in the story."""

from __future__ import annotations

from editions.exchange.demo_story.shop import Shop
from editions.registry.acts.parties import enter_party, give_authority


def arrive(shop: Shop) -> None:
    """Artists and hands enter the book; the older works bring their own artist with them."""
    with shop.on("2019-03-04") as w:
        enter_party(
            w, "artist", name="Ilvane Toresk", born="1958", place="Saltreach", code="Y-0002"
        )
        enter_party(w, "laboratory", name="Merrow Assay Bench", place="Saltreach", code="Y-0003")
        enter_party(w, "witness", private_name="Ansel Pike, notary's clerk", code="Y-0004")
        enter_party(w, "hand", private_name="Dorrit Vane", contact="bay 2", code="Y-0005")
        enter_party(w, "hand", private_name="Emeric Stoll", contact="wax room", code="Y-0006")
        enter_party(w, "hand", private_name="Hanne Birk", contact="metal shop", code="Y-0007")
        enter_party(w, "patineur", private_name="Sol Arden", contact="colour bay", code="Y-0008")


def speak_for_quessel(shop: Shop) -> None:
    """The estate of the dead artist shows the paper by which it may speak for him."""
    with shop.on("2019-03-06") as w:
        enter_party(w, "estate", name="Estate of Bram Quessel", place="Saltreach", code="Y-0010")
        give_authority(
            w,
            "Y-0010",
            "Y-0009",
            capacity="executor",
            document="grant of probate, 3 February 2015",
            begins="2015-02-03",
        )
