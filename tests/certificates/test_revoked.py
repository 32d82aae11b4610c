"""A key that was revoked, told without a registry: by a site, or by a note that was taken along."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from msgspec.structs import replace

from certificates.attach import read_attachments
from certificates.checks import KEY_THEN, RECORD
from certificates.claim import Claim, code_text, open_claim, sign_claim
from certificates.issue import withdraw
from editions.ledger.keys import PrivateKey
from editions.registry import begin
from editions.registry.acts.keys import end_key
from tests.certificates import house
from tests.certificates.bench import Bench, Told, code_of, picture, revoke
from tests.registry.builders import ADDRESS, PASSPHRASE


def certifying(bench: Bench) -> PrivateKey:
    return bench.registry.certifying_key(PASSPHRASE)


def end(bench: Bench, because: str, start: int | None = None) -> int:
    """End the certifying key from a place on, from now on when none is named; the place."""
    key, now = certifying(bench).public.raw, house.size(bench.registry)
    with bench.registry.writing() as w:
        end_key(w, "Y-0001", key, because=because, from_position=start)
    return now if start is None else start


def claim_of(bench: Bench, paper: Path) -> Claim:
    cose = read_attachments(paper.read_bytes())["claim.cose"]
    return open_claim(cose, certifying(bench).public.raw)


def stolen(bench: Bench, paper: Path, **words: object) -> str:
    """The code that a thief of the certifying key signs over the entry of a genuine paper."""
    claim = replace(claim_of(bench, paper), **words)
    return code_text(ADDRESS, claim.number, sign_claim(claim, certifying(bench)))


def note_of(bench: Bench) -> Path:
    return bench.publish() / "revocations.txt"


def by_note(bench: Bench, what: Path | str, note: Path) -> Told:
    return bench.verify(what, "--key", bench.keys, "--revocations", note)


def by_site(bench: Bench, what: Path | str) -> Told:
    return bench.verify(what, "--key", bench.keys, "--site", bench.publish())


def said(told: Told) -> tuple[str, str]:
    return told.checks[KEY_THEN]


# By its place, never by a date


@pytest.mark.parametrize("because", ["compromised", "lost", "expired", "succession", "rotated"])
def test_a_paper_from_before_the_revocation_stands_by_its_place(bench: Bench, because: str) -> None:
    paper = bench.certify()
    start = end(bench, because)
    for what in (paper, paper.stem, code_of(paper, paper.stem)):
        told = by_site(bench, what)
        assert told.status == 0, told.said
        result, words = said(told)
        assert result == "agrees"
        assert f"signs nothing from entry {start} on" in words
        assert "it came before, and stands by its place" in words


@pytest.mark.parametrize("because", ["compromised", "lost", "expired", "succession", "rotated"])
def test_a_paper_from_that_place_on_proves_nothing(bench: Bench, because: str) -> None:
    paper = bench.certify()
    claim = claim_of(bench, paper)
    end(bench, because, claim.index)
    note = note_of(bench)
    for what in (paper, code_of(paper, paper.stem)):
        for told in (by_site(bench, what), by_note(bench, what, note)):
            assert told.status == 3, told.said
            assert said(told)[0] == "contradicts"
            assert f"is entry {claim.index}" in said(told)[1]
            assert "it proves nothing" in told.said
    assert by_site(bench, paper.stem).status == 3
    assert bench.verify(paper, registry=True).status == 3


def test_one_entry_makes_the_difference(bench: Bench) -> None:
    paper = bench.certify()
    end(bench, "compromised", claim_of(bench, paper).index + 1)
    assert by_site(bench, paper).status == 0
    assert by_note(bench, paper, bench.site / "revocations.txt").status == 5


def test_a_key_that_was_betrayed_wholly_has_signed_nothing(bench: Bench) -> None:
    paper = bench.certify()
    revoke(bench)
    told = by_site(bench, paper)
    assert (told.status, told.against) == (3, {KEY_THEN})
    assert "signs nothing from entry 0 on: it was compromised" in told.said


# What the code alone cannot show


def test_with_the_code_alone_the_place_cannot_be_shown_and_that_is_said(bench: Bench) -> None:
    paper = bench.certify()
    start, index = end(bench, "compromised"), claim_of(bench, paper).index
    note = note_of(bench)
    for what in (code_of(paper, paper.stem), bench.forged(picture(paper.read_bytes()), "p.png")):
        told = by_note(bench, what, note)
        assert told.status == 4
        assert told.said == (
            f"It is not proved. The key that signed it signs nothing from entry {start} on: it was"
            f" compromised. It says of itself that it is entry {index}, which whoever holds the key"
            " could write. Whether it came before cannot be shown from the code alone. Ask for its"
            " proof: it is in the PDF and on the page of its record."
        )
    # The PDF carries the proof; then the note is enough.
    assert by_note(bench, paper, note).status == 5
    assert said(by_note(bench, paper, note))[0] == "agrees"


def test_a_kept_page_of_its_record_carries_the_proof_too(bench: Bench) -> None:
    paper = bench.certify()
    end(bench, "compromised")
    note = note_of(bench)
    page = bench.forged((bench.site / "C" / paper.stem / "index.html").read_bytes(), "kept.html")
    told = by_note(bench, page, note)
    assert (told.status, said(told)[0]) == (5, "agrees")
    assert bench.verify(page, "--key", bench.keys).status == 5
    assert bench.verify(page, registry=True).status == 0


def test_under_a_key_that_ended_otherwise_a_code_alone_is_less_but_not_nothing(
    bench: Bench,
) -> None:
    paper = bench.certify()
    end(bench, "rotated")
    told = by_note(bench, code_of(paper, paper.stem), note_of(bench))
    assert (told.status, said(told)[0]) == (5, "not checked")
    assert told.said.startswith("The code is signed by the foundry for this certificate.")
    assert "cannot be shown from the code alone" in told.said


def test_a_site_that_does_not_show_the_record_is_said_to_show_none(bench: Bench) -> None:
    paper = bench.certify()
    end(bench, "compromised")
    shutil.rmtree(bench.publish() / "C" / paper.stem)
    code = code_of(paper, paper.stem)
    told = bench.verify(code, "--key", bench.keys, "--site", bench.site)
    assert told.status == 4
    assert "The site shows no record that proves it." in told.said


# A thief of the certifying key


def test_a_thief_s_words_over_an_old_entry_are_proved_by_nobody(bench: Bench) -> None:
    """Its leaf and its proof are genuine and public: only the entry's words tell."""
    paper = bench.certify()
    forged = stolen(bench, paper, title="Heron, rising", designation="1/1")
    assert bench.verify(forged, registry=True).against == {"what the paper says"}
    # Nobody has to know of the theft: the site's record of it has the entry's own words.
    told = by_site(bench, forged)
    assert (told.status, told.against) == (3, {RECORD})
    assert "The code gives “Heron, rising” as title, the entry" in told.said
    end(bench, "compromised")
    assert by_site(bench, forged).status == 3
    assert by_note(bench, forged, bench.site / "revocations.txt").status == 4


def test_a_code_whose_number_a_site_does_not_know_is_proved_by_nobody(bench: Bench) -> None:
    forged = stolen(bench, bench.certify(), number="0123456789A")
    told = by_site(bench, forged)
    assert (told.status, told.checks[RECORD][0]) == (5, "not checked")
    assert "This site has no record of 0123 4567 89A." in told.said
    end(bench, "compromised")
    assert by_site(bench, forged).status == 4


def test_a_code_under_the_number_of_another_entry_is_told_by_that_entry(bench: Bench) -> None:
    paper, other = bench.certify(), bench.certify("4/8")
    own = claim_of(bench, other)
    forged = stolen(bench, paper, number=own.number)
    told = by_site(bench, forged)
    assert (told.status, told.against) == (3, {RECORD})
    assert f"is another entry, {own.index}" in told.said


def test_a_record_that_is_no_proof_counts_neither_for_nor_against(bench: Bench) -> None:
    paper = bench.certify()
    code, page = code_of(paper, paper.stem), bench.publish() / "C" / paper.stem / "index.html"
    whole = page.read_bytes()
    for old, new in ((rb'("proof": ?")', rb"\1x"), (rb'("entry": ?")', rb"\1x"), (b"<", b"[")):
        changed = re.sub(old, new, whole)
        assert changed != whole
        page.write_bytes(changed)
        told = bench.verify(code, "--key", bench.keys, "--site", bench.site)
        assert (told.status, told.checks[RECORD][0]) == (5, "not checked")


def test_a_thief_cannot_put_a_later_paper_before_the_revocation(bench: Bench) -> None:
    paper, later = bench.certify(), bench.certify("4/8")
    end(bench, "compromised", claim_of(bench, later).index)
    early = claim_of(bench, paper)
    # Its own entry at another place, or the state of the book before it.
    place = {"index": early.index, "size": early.size, "root": early.root}
    for words in (place, {"index": early.index}):
        forged = stolen(bench, later, **words)
        assert by_site(bench, forged).status == 3
        assert by_note(bench, forged, bench.site / "revocations.txt").status == 4
        told = bench.verify(forged, registry=True)
        assert told.status == 3
        assert "the entry behind this paper" in told.against
    assert by_site(bench, later).status == 3


# What a host, or an old note, can do


def test_a_site_that_keeps_the_note_back_leaves_the_key_unchecked(bench: Bench) -> None:
    paper = bench.certify()
    (bench.publish() / "revocations.txt").unlink()
    told = bench.verify(paper, "--key", bench.keys, "--site", bench.site)
    assert (told.status, said(told)[0]) == (5, "not checked")
    assert "whether the key that signed it was revoked since was not checked" in told.said.lower()
    # So does a status note that was taken along alone.
    alone = bench.verify(paper, "--key", bench.keys, "--status", bench.site / "status")
    assert (alone.status, said(alone)[0]) == (5, "not checked")
    both = ("--status", bench.site / "status", "--revocations", note_of(bench))
    assert bench.verify(paper, "--key", bench.keys, *both).status == 0


def test_a_note_older_than_the_paper_says_nothing_of_it(bench: Bench) -> None:
    note = bench.forged(note_of(bench).read_bytes(), "old.txt")
    paper = bench.certify()
    told = by_note(bench, paper, note)
    assert (told.status, said(told)[0]) == (5, "not checked")
    assert "it is older, and says nothing of it" in said(told)[1]


def test_an_old_note_in_the_site_of_today_is_told_by_the_sites_size(bench: Bench) -> None:
    paper = bench.certify()
    old = note_of(bench).read_bytes()
    end(bench, "compromised", 0)
    (bench.publish() / "revocations.txt").write_bytes(old)
    told = bench.verify(paper, "--key", bench.keys, "--site", bench.site)
    assert (told.status, said(told)[0]) == (5, "not checked")
    assert "it is an old note" in said(told)[1]
    # A newer note that was taken along is believed, and an old one takes nothing back.
    new = note_of(bench)
    for site, taken in ((old, new.read_bytes()), (new.read_bytes(), old)):
        bench.forged(taken, "taken.txt")
        (bench.site / "revocations.txt").write_bytes(site)
        words = ("--site", bench.site, "--revocations", "taken.txt")
        assert bench.verify(paper, "--key", bench.keys, *words).status == 3


def test_how_much_newer_a_note_is_than_the_paper_is_said(bench: Bench) -> None:
    paper = bench.certify()
    size = claim_of(bench, paper).size
    with bench.registry.reading() as r:
        later = r.size - size
    told = by_note(bench, paper, note_of(bench))
    assert f"{later} more than the certificate" in said(told)[1]
    withdraw(bench.registry, paper.stem, "surrendered")
    told = by_note(bench, paper, note_of(bench))
    assert f"speaks of {size + later + 1} entries, {later + 1} more" in said(told)[1]


@pytest.mark.parametrize(
    ("note", "status"),
    [
        (b"", 5),
        (b"\xff\xfe", 5),
        (b"bronzebook-revocations-1\norigin book.kilnlane.example\ncount 0\n", 5),
        (b"bronzebook-revocations-1\norigin else.example\ncount 0\n", 5),
        (b"<!doctype html><title>404</title>", 5),
        (b"\0" * 1000, 5),
    ],
)
def test_what_is_no_note_leaves_the_key_unchecked(bench: Bench, note: bytes, status: int) -> None:
    paper = bench.certify()
    (bench.publish() / "revocations.txt").write_bytes(note)
    told = bench.verify(paper, "--key", bench.keys, "--site", bench.site)
    assert (told.status, said(told)[0]) == (status, "not checked")


def test_a_note_without_keys_to_check_it_by_is_said_to_have_none(bench: Bench) -> None:
    paper = bench.certify()
    told = bench.verify(code_of(paper, paper.stem), "--revocations", note_of(bench))
    assert told.status == 4
    assert "No key of the book's log is known here" in said(told)[1]
    # A paper carries its own.
    own = bench.verify(paper, "--revocations", bench.site / "revocations.txt")
    assert (own.status, said(own)[0]) == (5, "agrees")


def test_keys_of_another_book_are_named_before_what_they_left_unchecked(
    bench: Bench, tmp_path: Path
) -> None:
    begin(
        tmp_path / "other",
        foundry="Brackmoor Bronze",
        address="https://other.example",
        passphrase=PASSPHRASE,
        key_cost=2**10,
    ).close()
    keys = tmp_path / "other/keys/public.txt"
    told = bench.verify(bench.certify(), "--key", keys, "--site", bench.publish())
    assert told.status == 4
    assert "the keys given are those of “other.example”, another book." in told.said
    assert "was revoked since" not in told.said
