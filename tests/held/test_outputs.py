"""Two hundred things said in confidence are in no output, however easily they are guessed.

A word as short as "7" or "no" is on every page by chance, so it cannot be looked for.  Instead one
story is told twice, by the same clock and the same chance, and other things are confided: if any
output tells something of them, be it their length or that anything was said at all, the two differ
there.

What an entry carries of a held value is its digest, and a digest differs with the value; from it
leaf, root and every signature follow.  For this comparison, and for nothing else, the seal is made
of the salt and the field's name alone, so that nothing has to be masked.  That the real seal tells
nothing without its salt is the hash's own promise, and no salt is in any output: the last tests
look for salts, and for what is too long to be there by chance, with the real seal.
"""

from __future__ import annotations

import base64
import io
import json
import re
import shlex
import shutil
from pathlib import Path

import pikepdf
import pypdfium2

from certificates.attach import read_attachments
from editions.cli.sheet import RECORDING
from editions.ledger.canonical import parse
from tests.held.conftest import PHRASE, Telling
from tests.held.outputs import compared
from tests.held.planting import GUESSABLE, OTHERS, Confiding, House, fields_held, story


def test_something_is_confided_in_every_held_field_and_never_the_same(two: list[Telling]) -> None:
    first, second = two
    assert {(kind, field) for _, kind, field, *_ in first.confided} == fields_held()
    assert len(first.confided) >= 200
    plain = [parse(value) for *_, value in first.confided]
    assert sum(value in GUESSABLE for value in plain) >= 80
    other = {(at, field): value for at, _, field, _, value in second.confided}
    assert len(other) < len(first.confided) - 30  # nothing at all was said there
    assert not [at for at, _, f, _, value in first.confided if other.get((at, f)) == value]


def test_whatever_was_confided_every_output_is_the_same(two: list[Telling]) -> None:
    first, second = (telling.outputs for telling in two)
    assert first.keys() == second.keys()
    told_apart = {
        name for name in first if compared(name, first[name]) != compared(name, second[name])
    }
    assert not told_apart, [shown(first[name], second[name]) for name in sorted(told_apart)]


def shown(first: bytes, second: bytes) -> tuple[bytes, bytes]:
    """Where two outputs begin to differ."""
    at = next((n for n, (a, b) in enumerate(zip(first, second, strict=False)) if a != b), 0)
    return first[max(at - 60, 0) : at + 60], second[max(at - 60, 0) : at + 60]


def test_the_outputs_are_those_of_every_door(two: list[Telling]) -> None:
    names = two[0].outputs.keys()
    for beginning in ("site C/", "site tile/", "site status", "served /C/", "file certificates/"):
        assert any(name.startswith(beginning) for name in names), beginning
    commands = {name[4:] for name in names if name[:3].isdigit()}
    assert any(name.endswith("-sealed.pdf") for name in names)
    for command in (
        "verify", "find", "show", "audit", "witness", "request", "certificate report",
        "certificate seal",
    ):  # fmt: skip
        assert any(name.startswith(command) for name in commands), command
    assert b"GET / 200" in two[0].outputs["the log"]


def test_who_asks_for_what_is_held_is_shown_all_of_it(two: list[Telling]) -> None:
    # So the two tellings do differ, and the comparison above could see it.
    for telling in two:
        for *_, value in telling.confided:
            text = parse(value)
            words = [text] if isinstance(text, str) else [line["solution"] for line in text]
            assert all(json.dumps(word)[1:-1].encode() in telling.asked for word in words)
    assert two[0].asked != two[1].asked


def test_a_day_sheet_and_an_import_say_back_nothing_that_they_were_told(
    real: Telling, tmp_path: Path
) -> None:
    # Each bears its own file's digest into its entries; that is masked, and nothing else is.
    said = []
    for say in (Confiding(GUESSABLE, PHRASE), Confiding(OTHERS, "between ourselves")):
        house = real.house.copied(tmp_path / "book")
        said.append(re.sub(rb"[0-9a-f]{8,}", b"-", from_files(house, say)))
        shutil.rmtree(tmp_path / "book")
    for entry in (b"wax judged", b"recipe written", b"entry corrected", b"earlier casts"):
        assert entry in said[0]
    assert said[0] == said[1]


def from_files(house: House, say: Confiding) -> bytes:
    """What is printed when a day sheet and an old book that confide something are taken in."""
    sheet, binder = house.folder / "day.txt", house.folder / "binder.csv"
    lines = [words for words in story(7, say, house.folder) if words[0] in RECORDING]
    written = "\n".join(map(shlex.join, lines))
    sheet.write_text(f"on: 2026-03-02\nsheet: {'5' * 32}\n\n{written}\n")
    binder.write_text(f'title;mark;owner;note\nHeron 0;V 2/8;"{say.must()}";"{say.must()}"\n')
    before = len(house.printed)
    with house.at_work():
        for words in (["sheet", "check"], ["sheet", "seal"], ["import", "--rehearse"], ["import"]):
            house.call(*words, str(sheet if words[0] == "sheet" else binder))
    return b"\n".join(list(house.printed.values())[before:])


# With the real seal


def opened_up(data: bytes) -> bytes:
    """An output as it lies; of a PDF also every stream unpacked, its text, its attached files."""
    if not data.startswith(b"%PDF"):
        return data
    document = pypdfium2.PdfDocument(data)
    words = [page.get_textpage().get_text_range().encode() for page in document]
    document.close()
    with pikepdf.open(io.BytesIO(data)) as pdf:
        streams = [one for one in pdf.objects if isinstance(one, pikepdf.Stream)]
        plain = [one.read_bytes() for one in streams if one.get("/Subtype") != "/Image"]
        about = repr(dict(pdf.docinfo)).encode()
    return b"\n".join([data, about, *words, *plain, *read_attachments(data).values()])


def forms(salt: bytes, value: bytes) -> list[bytes]:
    """What would give a held value away: its salt, or itself where nobody else says it."""
    said = [salt, salt.hex().encode(), salt.hex().upper().encode(), base64.b64encode(salt)]
    said += [base64.urlsafe_b64encode(salt).rstrip(b"="), repr(salt).encode()]
    plain = parse(value)
    return said + ([plain.encode()] if str(plain).startswith(PHRASE) else [])


def test_no_salt_and_no_long_confidence_is_in_any_output(real: Telling) -> None:
    whole = b"\n".join(map(opened_up, real.outputs.values()))
    assert len(real.confided) > 35
    told_of = [one for one in real.confided if any(f in whole for f in forms(*one[3:]))]
    assert told_of == []
    assert b"Ilse Varga" in whole
