"""How heavy a record becomes: one round trip, 60 kB at most, script and style inline.

The heaviest bronze here is cast in five sections from four heats, one section twice; every text is
hostile, the title as long as the book takes one.  As printed, of a run that publishes its size,
proofs and heats, its record keeps to the limit in each language.  All that can come together
(signed by the artist, replaced, contested, corrected since, with casts and molds published, in a
book of a million entries) weighs a little more; that is measured too, so that it does not grow.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace

from certificates.asking import ask_for, pending_of, take_reply
from certificates.issue import issue, replace_lost
from certificates.requests import read_request, sign_request
from editions.ledger.keys import PrivateKey
from editions.pages.render import record_page
from editions.pages.tongues import Tongue, tongues
from editions.pages.values import RecordView
from editions.pages.view import record_view
from editions.registry import Registry, Writing
from editions.registry.acts.approvals import approve_piece
from editions.registry.acts.colour import apply_colour
from editions.registry.acts.corrections import correct_entry
from editions.registry.acts.heats import analyse_heat, open_heat, pour_heat
from editions.registry.acts.keys import admit_key
from editions.registry.acts.marks import record_mark
from editions.registry.acts.molds import inspect_mold, make_mold
from editions.registry.acts.runs import declare_run
from editions.trade.molds import Criterion
from tests.pages import builders, hostile
from tests.pages.builders import Shop, opened, recast

MOST = 60_000
# All of it at once: signed, replaced, contested, corrected, with casts and molds published.
UTMOST = 65_000
KEY = PrivateKey(b"\x09" * 32)
SECTIONS = ("body", "left wing", "right wing", "head", "base")
# As long as the book takes a title, in every kind of character that is dear.
TITLE = f"{hostile.RIGHT_TO_LEFT} {hostile.EMOJI} {hostile.COMBINING} {hostile.LONG}"[:120]
ARTIST = f"{hostile.RIGHT_TO_LEFT} {hostile.EMOJI[:1]}"
SAID = f"{hostile.SCRIPT[:24]} {hostile.RIGHT_TO_LEFT} {hostile.EMOJI[:1]}"
# Analyses of silicon bronze within the limits of ASTM B584-14 for C87300, as invented figures.
FOUND = [
    {"Cu": f"94.{n}1", "Si": f"4.2{n}", "Mn": f"1.0{n}", "Zn": "0.02", "Fe": "0.04", "Pb": "0.01"}
    for n in (3, 4, 5)
]


def declare(w: Writing) -> None:
    """A run of the work in five sections, all of it published, with a mold inspected twice."""
    admit_key(w, "Y-0002", KEY.public.raw, document="compared in the studio")
    make_mold(w, "D-0001", SECTIONS, material="silicone rubber, plaster jacket", on="2026-03-02")
    declare_run(
        w, "K-0001", size=8, proofs=["4 AP roman"], alloy="C87300",
        edition_class="original", scale="1:2", elsewhere=[f"8/8={SAID}"], promise=SAID,
        other_runs=SAID, publishes=["size", "proofs", "heats", "molds", "pieces", "papers"],
        signers=["Y-0002"], on="2026-03-02",
    )  # fmt: skip


def heat(w: Writing, number: str, shells: list[str], found: dict[str, str]) -> None:
    open_heat(w, number, alloy="C87300", on="2026-03-23")
    analyse_heat(w, number, found, method="optical emission", on="2026-03-23")
    pour_heat(w, number, shells, on="2026-03-23")


def pieces(w: Writing) -> tuple[str, str]:
    """Two bronzes of that run; the second bears the number of the first."""
    codes = []
    for number in ("2/8", "3/8"):
        code = builders._begin(w, "R-0002", "M-0002", SECTIONS)
        for at, found in enumerate(FOUND):
            shells = [f"{code}/{section}" for section in SECTIONS[at::3]]
            heat(w, f"26-{code[-1]}{at}", shells, found)
        for section in SECTIONS:
            inspect_mold(w, "M-0002", section, [Criterion(name="tears", grade="sound")])
        if number == "2/8":
            recast(w, code, "left wing")
        builders.finish(w, code, number, "2/8", SAID)
        apply_colour(w, code, words="a second layer, greener", on="2026-04-16")
        apply_colour(w, code, words="wax, laid on warm", on="2026-04-17")
        approve_piece(w, code, "colour", by="Y-0002", how="in person", on="2026-04-18")
        approve_piece(w, code, "release", by="Y-0002", how="by telephone", on="2026-04-18")
        codes.append(code)
    return codes[0], codes[1]


def certified(shop: Shop, code: str) -> str:
    """A certificate that its artist signed, given out; then lost, and replaced by another."""
    registry, passphrase = shop.registry, builders.PASSPHRASE
    issue(registry, [code], passphrase=passphrase)
    signed(shop)
    (first,) = issue(registry, [code], passphrase=passphrase)
    replace_lost(registry, first.number, passphrase=passphrase)
    signed(shop)
    (second,) = issue(registry, [code], passphrase=passphrase)
    return second.number


def signed(shop: Shop) -> None:
    (waiting,) = pending_of(shop.registry)
    request = read_request(ask_for(shop.registry, [waiting.code], "Y-0002"))
    take_reply(shop.registry, sign_request(request, KEY, "2026-11-24T09:00:00Z"))


def later(w: Writing, code: str) -> None:
    """What the book learns after the paper was printed."""
    correct_entry(w, "K-0001#1", {"title": f"II {TITLE}"[:120]})
    correct_entry(w, "M-0002#1", {"material": "silicone rubber"})
    record_mark(w, code, SAID, place="left foot", method="chased", on="2026-11-23")


def built(folder: Path) -> tuple[Registry, str]:
    """A registry with that record, and its number."""
    shop = opened(folder, title=TITLE, artist=ARTIST)
    codes: list[str] = []
    shop.write(declare)
    shop.write(lambda w: codes.extend(pieces(w)))
    shop.photograph(codes[0])
    number = certified(shop, codes[0])
    builders.release(shop, codes[0])
    shop.write(lambda w: later(w, codes[0]))
    return shop.registry, number


@pytest.fixture(scope="module")
def heaviest(tmp_path_factory: pytest.TempPathFactory) -> RecordView:
    """The view of that record."""
    registry, number = built(tmp_path_factory.mktemp("heavy") / "registry")
    view = record_view(registry, number)
    registry.close()
    return view


def test_the_heaviest_record_is_all_that_it_is_meant_to_be(heaviest: RecordView) -> None:
    view = heaviest
    assert view.making is not None
    assert view.carried is not None
    assert view.picture is not None
    assert view.picture.kept
    assert view.standing.word == "stands"
    assert (len(view.making.parts), len(view.making.heats), len(view.making.pulls)) == (5, 4, 5)
    assert {notice.name for notice in view.notices} >= {"contested", "replaces", "corrected"}
    assert {check.result for check in view.proof.checks} == {"agrees"}


def as_printed(view: RecordView) -> RecordView:
    """The record while nothing came after its paper, of a run that publishes no casts or molds."""
    assert view.run is not None
    assert view.making is not None
    run = replace(view.run, published=("proofs", "size"), exist=None, elsewhere=())
    making = replace(view.making, pulls=())
    return replace(view, changed=(), corrected=(), notices=(), run=run, making=making)


@pytest.mark.parametrize("tongue", tongues(), ids=lambda one: one.code)
def test_a_record_of_several_sections_with_hostile_texts_is_light(
    heaviest: RecordView, tongue: Tongue
) -> None:
    assert len(record_page(as_printed(heaviest), tongue)) <= MOST


@pytest.mark.parametrize("tongue", tongues(), ids=lambda one: one.code)
def test_all_that_can_come_together_on_one_record_weighs_little_more(
    heaviest: RecordView, tongue: Tongue
) -> None:
    assert len(record_page(heaviest, tongue)) + deeper(heaviest) <= UTMOST


def deeper(view: RecordView) -> int:
    """The bytes that a proof has more in a book of a million entries: 20 hashes of 32 bytes.

    A line of a proof is a hash in base64, and its end, which JSON writes as two characters.
    """
    assert view.carried is not None
    lines = view.carried.proof.partition("\n\n")[0].split("\n")[2:]
    return (20 - len(lines)) * 46
