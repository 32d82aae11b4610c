"""The forged set: what a forger would try, what each mode says of it, and with which status.

Every forgery is made from certificates really issued, and is put to the command line: alone, with
the foundry's keys, with the registry, with a site.  What a mode cannot see stands here too.
"""

from __future__ import annotations

import datetime
import io
import shutil
from pathlib import Path

import pikepdf

from certificates.attach import read_attachments
from certificates.claim import code_text
from certificates.issue import withdraw
from certificates.pdf import draw
from editions.ledger.keys import PrivateKey
from tests.certificates import builders
from tests.certificates.bench import (
    Bench,
    Told,
    code_of,
    on_the_page_of,
    over_other_words,
    picture,
    repainted,
    revoke,
)
from tests.certificates.test_verify import with_files
from tests.helpers.chance import Chance
from tests.registry.builders import ADDRESS

LATER = datetime.timedelta(days=100)


def statuses(told: dict[str, Told]) -> dict[str, int]:
    return {mode: each.status for mode, each in told.items()}


def test_what_is_genuine_agrees_in_every_mode_that_can_say_so(bench: Bench) -> None:
    told = bench.everywhere(bench.certify())
    assert statuses(told) == {"alone": 5, "keys": 5, "site": 0, "registry": 0}
    assert told["alone"].said.startswith("The paper agrees with itself, by the key that came with")
    assert told["keys"].said.startswith("The paper proves itself.")
    assert told["registry"].said.startswith("Everything agrees: this certificate stands, as of")


def test_the_code_of_another_cast_in_the_file(bench: Bench) -> None:
    genuine, other = bench.certify(), bench.certify("4/8")
    claim = read_attachments(other.read_bytes())["claim.cose"]
    told = bench.everywhere(bench.forged(with_files(genuine.read_bytes(), claim=claim)))
    assert statuses(told) == {"alone": 3, "keys": 3, "site": 3, "registry": 3}
    for mode in ("alone", "keys", "site"):
        assert "The signed code is that of another certificate" in told[mode].said
    assert "is not the PDF that was drawn" in told["registry"].checks["the file itself"][1]


def test_the_code_of_another_cast_on_the_page(bench: Bench) -> None:
    """Seen from the file, which is drawn again; a picture shows the other's words to compare."""
    genuine, other = bench.certify(), bench.certify("4/8")
    forged = on_the_page_of(other, genuine)
    told = bench.everywhere(bench.forged(forged))
    assert statuses(told) == {"alone": 3, "keys": 3, "site": 3, "registry": 3}
    assert "What is seen on the page is not what was drawn" in told["keys"].said
    seen = bench.verify(bench.forged(picture(forged), "page.png"), "--key", bench.keys)
    assert seen.status == 5
    assert seen.said.startswith("The code is signed by the foundry for this certificate.")


def test_the_visible_text_of_a_genuine_pdf_changed(bench: Bench) -> None:
    """Seen from the file by drawing it again, and by registry; never from a picture of it."""
    genuine = bench.certify()
    forged = repainted(genuine.read_bytes(), b"larger edition")
    told = bench.everywhere(bench.forged(forged))
    assert statuses(told) == {"alone": 3, "keys": 3, "site": 3, "registry": 3}
    for mode in ("alone", "keys", "site"):
        assert told[mode].against == {"the page as drawn"}
        assert "What is seen on the page is not what was drawn" in told[mode].said
    assert told["registry"].against == {"the file itself", "the page as drawn"}
    seen = bench.verify(bench.forged(picture(forged), "page.png"), registry=True)
    assert seen.status == 0
    assert seen.said.startswith("The code agrees, and this certificate stands")


def test_a_page_that_says_other_versions_drew_it_is_left_to_the_eye(bench: Bench) -> None:
    """What drawing again cannot tell: then the registry compares the bytes."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(repainted(bench.certify().read_bytes(), b"x"))) as document:
        document.docinfo["/DrawnBy"] = "another bronzebook"
        document.save(out)
    told = bench.everywhere(bench.forged(out.getvalue()))
    assert statuses(told) == {"alone": 5, "keys": 5, "site": 0, "registry": 3}
    assert told["keys"].checks["the page as drawn"][0] == "not checked"
    assert told["registry"].against == {"the file itself"}


def test_one_signed_again_with_an_unknown_key_of_the_same_name(
    bench: Bench, tmp_path: Path
) -> None:
    """A forger's whole book under the foundry's name: alone it agrees with itself, and says so."""
    (tmp_path / "forger").mkdir()
    forger = Bench(tmp_path / "forger", Chance("a forger"))
    forged = forger.certify()
    told = bench.everywhere(forged)
    assert statuses(told) == {"alone": 5, "keys": 3, "site": 3, "registry": 3}
    assert "by the key that came with it" in told["alone"].said
    for mode in ("keys", "site", "registry"):
        assert "somebody else signed in its name" in told[mode].said
    # The foundry's own site gives it away, though nobody brought a key.
    by_site = bench.verify(forged, "--site", bench.publish())
    assert by_site.status == 3
    assert "The site publishes another key of the foundry" in by_site.said
    # The forger's own site agrees with the forgery: then the key came with the paper.
    assert bench.verify(forged, "--site", forger.publish()).status == 5
    forger.registry.close()


def test_a_withdrawn_one_with_an_old_page_and_an_old_status_note(bench: Bench) -> None:
    paper, keys = bench.certify(), ("--key", bench.keys)
    shutil.copytree(bench.publish(), bench.table / "old")
    old = bench.table / "old"
    withdraw(bench.registry, paper.stem, "surrendered")
    told = bench.everywhere(paper)
    assert statuses(told) == {"alone": 5, "keys": 5, "site": 3, "registry": 3}
    for mode in ("site", "registry"):
        assert told[mode].against == {"how it stands today"}
        assert "it does not stand" in told[mode].said
        assert "withdrawn" in told[mode].said
    # An old site says how it stood then, and the date is always said.
    then = bench.verify(paper, *keys, "--site", old)
    assert then.status == 0
    assert ", as of 20" in then.said
    # An old note beside the site of today: whichever comes first, the newer one speaks.
    note = old / "status"
    assert bench.verify(paper, *keys, "--site", bench.site, "--status", note).status == 3
    # An old note put into the site of today is told by the site's own size.
    shutil.copy(note, bench.site / "status")
    replayed = bench.verify(paper, *keys, "--site", bench.site)
    assert replayed.status == 5
    assert "it is an old note" in replayed.said


def test_a_status_note_of_long_ago_does_not_say_how_it_stands_today(bench: Bench) -> None:
    paper = bench.certify()
    bench.registry.clock = lambda: datetime.datetime.now(datetime.UTC) - LATER
    told = bench.verify(paper, "--key", bench.keys, "--status", bench.publish() / "status")
    assert told.status == 5
    assert "That is 100 days ago: ask for a newer note." in told.said


def test_the_claim_of_another_registry(bench: Bench) -> None:
    foreign = builders.paper(builders.sealed())
    claim = read_attachments(foreign)["claim.cose"]
    told = bench.everywhere(bench.forged(with_files(bench.certify().read_bytes(), claim=claim)))
    assert statuses(told) == {"alone": 3, "keys": 3, "site": 3, "registry": 3}
    for mode in ("alone", "keys", "site"):
        assert "is of another book" in told[mode].checks["the entry behind this paper"][1]
    whole = bench.everywhere(bench.forged(foreign, "foreign.pdf"))
    assert statuses(whole) == {"alone": 5, "keys": 4, "site": 4, "registry": 4}
    assert "another book" in whole["keys"].said
    assert "The site is of the book" in whole["site"].checks["the book since this paper"][1]
    assert "This registry has issued no" in whole["registry"].checks["how it stands today"][1]
    code = code_text("https://record.hollow-oak.example", builders.NUMBER, claim)
    assert bench.verify(code, registry=True).status == 4


def test_an_artist_s_proof_over_other_words(bench: Bench) -> None:
    told = bench.everywhere(over_other_words(bench))
    assert statuses(told) == {"alone": 3, "keys": 3, "site": 3, "registry": 3}
    for mode in ("alone", "keys", "site"):
        assert "made over other words" in told[mode].said


def test_a_revoked_key(bench: Bench) -> None:
    """The site tells it by its note, the registry by itself; a paper and a key file cannot."""
    paper = bench.certify()
    revoke(bench)
    told = bench.everywhere(paper)
    assert statuses(told) == {"alone": 5, "keys": 5, "site": 3, "registry": 3}
    assert "signs nothing from entry 0 on: it was compromised" in told["site"].said
    assert "is revoked from entry 0: it was compromised" in told["registry"].said
    by_number = bench.verify(paper.stem, registry=True)
    assert by_number.status == 3
    assert "is revoked from entry 0: it was compromised" in by_number.said


def test_each_of_the_set_is_told_by_a_sentence_of_its_own(bench: Bench, tmp_path: Path) -> None:
    genuine, other = bench.certify(), bench.certify("4/8")
    words, pdf = over_other_words(bench), genuine.read_bytes()
    claims = [
        read_attachments(one)["claim.cose"]
        for one in (other.read_bytes(), builders.paper(builders.sealed()))
    ]
    (tmp_path / "forger").mkdir()
    forger = Bench(tmp_path / "forger", Chance("a forger"))
    keys = ("--key", bench.keys)
    told = {
        "another's code": bench.verify(bench.forged(with_files(pdf, claim=claims[0])), *keys),
        "another number": bench.verify(code_of(genuine, other.stem), *keys),
        "visible text": bench.verify(bench.forged(repainted(pdf, b"x")), *keys),
        "unknown key": bench.verify(forger.certify(), *keys),
        "another registry": bench.verify(bench.forged(with_files(pdf, claim=claims[1])), *keys),
        "other words": bench.verify(words, *keys),
    }
    forger.registry.close()
    withdraw(bench.registry, other.stem, "disputed")
    told["withdrawn"] = bench.verify(other, registry=True)
    revoke(bench)
    told["revoked key"] = bench.verify(genuine, registry=True)
    assert {one.status for one in told.values()} == {3}
    assert len({one.said for one in told.values()}) == len(told)
    assert all("authentic" not in one.said for one in told.values())


def test_a_page_drawn_for_a_forger_s_statement_is_not_proved_by_a_genuine_seal(
    bench: Bench,
) -> None:
    """The forger has this very program: it draws what he likes, and the entry does not hold it."""
    from msgspec.structs import replace

    from certificates.carried import read_carried, statement_of
    from certificates.claim import Seal

    genuine = bench.certify().read_bytes()
    carried = read_carried(genuine)
    statement = statement_of(carried.entry)
    assert statement is not None
    by_use = {one.use: one.key for one in carried.keys}
    seal = Seal(
        claim=carried.cose,
        address=ADDRESS,
        entry=carried.entry_bytes,
        proof=carried.proof_text,
        log_key=by_use["log"],
        foundry_key=by_use["foundry"],
        credential=carried.credential or b"",
    )
    painted = draw(replace(statement, title="Heron, rising", photograph=None), seal, None)
    told = bench.verify(bench.forged(painted), "--key", bench.keys)
    assert (told.status, told.against) == (3, {"the page as drawn"})


def test_a_stranger_s_key_in_keys_txt_does_not_make_it_the_foundry_s(bench: Bench) -> None:
    paper = bench.certify().read_bytes()
    stranger = PrivateKey(b"\x01" * 32).public.raw
    from editions.ledger.notes import VerifierKey

    lines = f"foundry {VerifierKey('book.kilnlane.example', stranger)}\n"
    log = next(line for line in read_attachments(paper)["keys.txt"].decode().splitlines()
               if line.startswith("log "))  # fmt: skip
    told = bench.verify(bench.forged(with_files(paper, keys=f"{lines}{log}\n".encode())))
    assert told.status == 3
    assert "somebody else signed in its name" in told.said
