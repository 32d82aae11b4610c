"""Pages of runs, works, artists and the foundry: what is published, who says so, no certificate."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from editions.errors import NotKnown, Unreadable
from editions.ledger.keys import fingerprint
from editions.pages.site import ADDRESSES
from editions.pages.view import room
from editions.registry import Registry, Writing
from editions.registry.acts.parties import enter_party, give_authority
from editions.registry.acts.pieces import scrap_piece
from editions.registry.acts.runs import declare_run
from editions.registry.acts.works import enter_model, enter_work
from editions.registry.rotating import prepare_rotation, rotate_foundry_key
from editions.registry.rotating_log import prepare_log_rotation, rotate_log_key
from editions.trade.numbers import show_number
from tests.pages import hostile
from tests.pages.builders import (
    COST,
    HELD,
    PASSPHRASE,
    Gallery,
    Shop,
    cast,
    opened,
    picture,
    release,
)
from tests.store.books import tamper

KINDS = {"/run/{}/", "/work/{}/", "/artist/{}/", "/foundry/", "/keys/", "/standing/", "/look/"}


def made(registry: Registry, path: str, member: str = "") -> str:
    row = next(one for one in ADDRESSES if one.path == path)
    with room(registry) as here:
        return row.make(here, member).decode()


def members(registry: Registry, path: str) -> list[str]:
    row = next(one for one in ADDRESSES if one.path == path)
    with room(registry) as here:
        return list(row.members(here))


def pages(registry: Registry) -> Iterator[tuple[str, str]]:
    for path in sorted(KINDS):
        for member in members(registry, path):
            yield path, made(registry, path, member)


def words(page: str) -> str:
    """The text that a reader sees, its spaces even."""
    body = re.sub(r"(?s)<(script|style|svg).*?</\1>", " ", page.partition("<body>")[2])
    return " ".join(re.sub(r"<[^>]+>", " ", body).split())


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    """Works whose artist publishes everything, the usual, the proofs alone, sales, and nothing."""
    shop = opened(tmp_path_factory.mktemp("catalogue") / "registry")
    shop.write(_declare)
    yield shop
    shop.registry.close()


def _declare(w: Writing) -> None:
    enter_party(w, ["estate"], name="Estate of Ilse Varga")
    give_authority(w, "Y-0005", "Y-0002", capacity="estate", document="deed", begins="2020")
    declare_run(w, "K-0001", size=2, scale="1:2", authorised_by="Y-0005", on="2026-03-03")
    for place, title in enumerate(("Proofs alone", "Nothing", "Sales alone", "No run yet"), 2):
        enter_work(w, "Y-0002", title)
        enter_model(w, f"K-000{place}", "plaster")
    declare_run(w, "K-0002", size=7171, proofs=["4 AP"], publishes=["proofs"], on="2026-03-03")
    declare_run(w, "K-0003", size=7272, publishes=[], on="2026-03-03")
    declare_run(w, "K-0004", size=7373, publishes=["sales"], on="2026-03-03")


def test_no_page_beside_a_record_names_a_certificate_or_holds_a_held_fact(
    shown: Gallery,
) -> None:
    seen = set()
    for path, page in pages(shown.shop.registry):
        seen.add(path)
        assert HELD not in page, path
        assert "/C/" not in re.sub(r"(?s)<code[^>]*>/C/</code>|<script.*?</script>", "", page), path
        for number in shown.numbers.values():
            assert number not in page.replace(" ", ""), path
            assert show_number(number) not in page, path
    assert seen == KINDS


def test_by_default_a_run_shows_its_size_and_proofs_and_nothing_of_its_casts(
    shown: Gallery,
) -> None:
    said = words(made(shown.shop.registry, "/run/{}/", "R-0001"))
    assert "8 numbered" in said
    assert "4 artist’s proofs" in said
    assert "Declared; what is cast is not published" in said
    for secret in ("Exists, as this book knows", "Cast, as this book knows", "3/8", "P-0"):
        assert secret not in said


def test_a_run_whose_pieces_are_published_says_how_many_exist(shown: Gallery) -> None:
    said = words(made(shown.shop.registry, "/run/{}/", "R-0002"))
    assert "Exists, as this book knows 1 of 3" in said


def test_what_is_cast_scrapped_or_sold_changes_no_page_but_the_records(
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    shop = opened(tmp_path_factory.mktemp("sold") / "registry")
    before = list(pages(shop.registry))
    sold = cast(shop)
    scrapped = cast(shop, "4/8")
    shop.certify(sold)
    release(shop, sold)
    shop.write(lambda w: scrap_piece(w, scrapped, evidence="photograph", witness="Y-0004"))
    after = list(pages(shop.registry))
    assert [one for one in after if one[0] != "/standing/"] == [
        one for one in before if one[0] != "/standing/"
    ]
    shop.registry.close()


def test_what_nobody_publishes_has_no_page_and_is_named_nowhere(shop: Shop) -> None:
    assert members(shop.registry, "/run/{}/") == ["R-0001", "R-0002", "R-0003"]
    assert members(shop.registry, "/work/{}/") == ["K-0001", "K-0002"]
    for _, page in pages(shop.registry):
        for secret in (
            "Nothing",
            "Sales alone",
            "No run yet",
            "R-0004",
            "R-0005",
            "7171",
            "7272",
            "7373",
        ):
            assert secret not in words(page)


@pytest.mark.parametrize(
    ("path", "member"),
    [
        ("/run/{}/", "R-0004"), ("/run/{}/", "R-0005"), ("/run/{}/", "R-9999"),
        ("/run/{}/", "K-0001"), ("/work/{}/", "K-0003"), ("/work/{}/", "K-0005"),
        ("/work/{}/", "Y-0002"), ("/artist/{}/", "Y-0003"), ("/artist/{}/", "Y-0001"),
        ("/artist/{}/", "Y-0005"), ("/artist/{}/", "K-0001"),
    ],
)  # fmt: skip
def test_a_code_without_a_page_is_not_known(shop: Shop, path: str, member: str) -> None:
    with pytest.raises(NotKnown):
        made(shop.registry, path, member)


@pytest.mark.parametrize("typed", ["", "R", "0001", "P-0001", "R-0001/..", "R-" + "1" * 40, "é"])
def test_what_is_no_code_of_a_run_is_unreadable(typed: str) -> None:
    row = next(one for one in ADDRESSES if one.path == "/run/{}/")
    with pytest.raises(Unreadable):
        row.read(typed)


def test_a_size_that_is_not_published_is_said_to_be_unpublished(shop: Shop) -> None:
    said = words(made(shop.registry, "/run/{}/", "R-0003"))
    assert "run, size not published" in said
    assert "the artist does not publish the size" in said


def test_who_declared_a_run_is_named_with_the_capacity(shop: Shop) -> None:
    said = words(made(shop.registry, "/run/{}/", "R-0002"))
    assert "is the word of Estate of Ilse Varga , estate" in said
    assert "The foundry cannot promise it." in said
    work = words(made(shop.registry, "/work/{}/", "K-0001"))
    assert "declared by Estate of Ilse Varga , estate" in work


def test_a_work_shows_its_runs_and_scales_and_what_they_declare_together(shop: Shop) -> None:
    said = words(made(shop.registry, "/work/{}/", "K-0001"))
    assert "run of 8 + 4 AP" in said
    assert "run of 2 , scale 1:2" in said
    assert "together declare 14 casts" in said


def test_a_work_with_a_run_that_does_not_tell_says_nothing_of_all_together(shop: Shop) -> None:
    assert "together" not in words(made(shop.registry, "/work/{}/", "K-0002"))


def test_an_artist_shows_the_works_that_are_published(shop: Shop) -> None:
    said = words(made(shop.registry, "/artist/{}/", "Y-0002"))
    assert "Ilse Varga born 1931" in said
    assert said.index("Heron, settling") < said.index("Proofs alone")


def test_a_photograph_filed_with_the_work_is_shown_and_one_of_a_bronze_is_not(
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    shop = opened(tmp_path_factory.mktemp("pictures") / "registry")
    bronze = shop.photograph(cast(shop))
    assert "<img" not in made(shop.registry, "/work/{}/", "K-0001")
    assert members(shop.registry, "/photo/{}.jpg") == []
    work = shop.photograph("K-0001", picture((120, 150, 170)))
    for path, code in (("/work/{}/", "K-0001"), ("/run/{}/", "R-0001")):
        assert f'<img src="/photo/{work}.jpg"' in made(shop.registry, path, code)
    assert members(shop.registry, "/photo/{}.jpg") == [work]
    assert bronze != work
    shop.registry.close()


def test_keys_are_shown_with_where_they_stand_in_the_book(shown: Gallery) -> None:
    said = words(made(shown.shop.registry, "/keys/"))
    assert said.index("Certifying key") < said.index("log key")
    assert said.count("from its first entry") == 2
    assert said.count("no; it signs today") == 2


def test_a_key_that_ended_says_how_and_which_key_vouched_for_the_next(
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    shop = opened(tmp_path_factory.mktemp("rotated") / "registry")
    old = fingerprint(shop.registry.certifying_key(PASSPHRASE).public.raw).replace(" ", "")
    prepare_rotation(shop.registry, "another crucible of words", key_cost=COST)
    rotate_foundry_key(shop.registry, passphrase=PASSPHRASE)
    prepare_log_rotation(shop.registry)
    rotate_log_key(shop.registry, because="compromised", passphrase="another crucible of words")
    said = words(made(shop.registry, "/keys/"))
    assert "it signs nothing from entry" in said
    assert "compromised, 23 November 2026: it proves nothing" in said
    vouched = said.partition("Countersigned by")[2].partition("Ended")[0].replace(" ", "")
    assert vouched.casefold() == old.casefold()
    shop.registry.close()


def test_what_no_longer_stands_is_counted_and_not_named(shown: Gallery) -> None:
    said = words(made(shown.shop.registry, "/standing/"))
    assert "replaced 1" in said
    assert "withdrawn 1" in said
    assert "lost" not in said.partition("Papers that no longer stand")[2].partition("Entries")[0]


def test_a_book_in_which_all_stands_says_so(shop: Shop) -> None:
    assert "Every paper of this book stands." in words(made(shop.registry, "/standing/"))


@pytest.mark.parametrize("bad", hostile.ALL)
def test_hostile_titles_and_names_are_shown_as_text(
    tmp_path_factory: pytest.TempPathFactory, bad: str
) -> None:
    shop = opened(tmp_path_factory.mktemp("bad") / "registry", title=bad, artist=bad)
    for path, page in pages(shop.registry):
        assert page.count("<script") == page.count("</script>"), path
        assert (page.count("<style"), page.count("</body>")) == (2, 1), path
        assert "<img" not in page, path
    shop.registry.close()


@pytest.mark.parametrize("code", ["R-0001", "K-0001", "Y-0002"])
def test_a_damaged_row_is_read_from_the_entries(book: Registry, code: str) -> None:
    wanted = {"/run/{}/": "R-0001", "/work/{}/": "K-0001", "/artist/{}/": "Y-0002", "/look/": ""}
    before = {path: made(book, path, member) for path, member in wanted.items()}
    tamper(book, "UPDATE subjects SET state = '' WHERE code = :code", code=code)
    assert {path: made(book, path, member) for path, member in wanted.items()} == before


def test_a_photograph_whose_file_is_lost_is_left_out(
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    shop = opened(tmp_path_factory.mktemp("lost") / "registry")
    digest = shop.photograph("K-0001")
    (shop.registry.home.photographs / digest[:2] / digest).unlink()
    assert "<img" not in made(shop.registry, "/work/{}/", "K-0001")
    shop.registry.close()


def test_keys_that_cannot_be_read_are_not_hidden(book: Registry) -> None:
    tamper(book, "UPDATE subjects SET state = '' WHERE code = 'Y-0001'")
    tamper(book, "UPDATE entries SET bytes = x'7b7d' WHERE kind = 'party_entered'")
    assert "The keys in the book cannot be read" in words(made(book, "/keys/"))
