"""The paper: a statement and its seal, drawn as a PDF that carries its own proof.

With the same versions of the libraries the same statement, seal, photograph and paper give the same
bytes, so that a checker can draw a certificate again and compare.  ``pen``, ``typeface`` and this
file are the only ones that know how a PDF is drawn; ``attach`` alone knows how files are attached.
"""

from __future__ import annotations

import hashlib
from typing import NamedTuple

from certificates.attach import Description, attach, read_attachments
from certificates.claim import Claim, Seal, code_text, peek_claim, record_address
from certificates.credential import from_bytes
from certificates.keyfile import PublicKeyEntry, write_keys
from certificates.layout import POINTS, SHEETS, Box, Page, Sheet, code_module
from certificates.ornament import draw_mark
from certificates.pen import Pen
from certificates.presence import proofs_present
from certificates.qr import QUIET, matrix, open_picture
from certificates.setting import LABEL_SIZE, LABEL_SPACING, Column, Setting, set_facts
from certificates.titling import Titling, title_block
from certificates.typeface import cannot_draw, shortened, wrap
from certificates.wording import (
    AUTHORITY,
    BOX_NOTE,
    CHECKPOINT,
    RESERVED,
    SIGNED_BY,
    Fact,
    dated,
    facts_of,
    grouped,
    heading,
    issued_by,
)
from editions.errors import FileUnusable
from editions.ledger.keys import fingerprint
from editions.ledger.notes import VerifierKey
from editions.trade.numbers import show_number
from editions.trade.statement import Statement

__all__ = ["CLAIM", "CREDENTIAL", "ENTRY", "KEYS", "PROOF", "draw", "read_attachments"]

ENTRY = "entry.json"
PROOF = "certificate.tlog-proof"
CLAIM = "claim.cose"
KEYS = "keys.txt"
CREDENTIAL = "credential.json"

_FRAME_GAP = 1.3
_LEADING = 1.25
_BOX_LINES = 9


class Paper(NamedTuple):
    """What one certificate is drawn from, and the sheet it is drawn on."""

    pen: Pen
    sheet: Sheet
    statement: Statement
    seal: Seal
    claim: Claim


def draw(statement: Statement, seal: Seal, photograph: bytes | None, page: Page = "A4") -> bytes:
    """The certificate as a PDF, deterministic, what proves it attached: entry, proof, claim, keys.

    Args:
        statement: What is printed; the entry in the seal must hold the same.
        seal: What proves it.
        photograph: The publishable picture whose SHA-256 the statement names, or none.
        page: The paper.

    Raises:
        FileUnusable: If the photograph is not a picture, or not the one the statement names.
        Unreadable: If the seal's claim or address cannot be printed.
    """
    _judge_photograph(statement, photograph)
    sheet = SHEETS[page]
    name = f"{statement.artist}, {statement.title}"
    claim, _ = peek_claim(seal.claim)
    paper = Paper(Pen(sheet, name), sheet, statement, seal, claim)
    titling = title_block(statement, _title_box(sheet, photograph is not None))
    setting = _setting(sheet, (*titling.facts, *_facts(statement)))
    _first_page(paper, titling, setting, photograph)
    for at, columns in enumerate(setting.pages[1:], 2):
        paper.pen.turn_page()
        _further_page(paper, setting, columns, at)
    return attach(paper.pen.finished(), _files(seal), _description(statement, seal.address, name))


def _facts(statement: Statement) -> tuple[Fact, ...]:
    facts = facts_of(statement)
    said = (statement.artist, statement.title, statement.designation or "")
    printed = (*said, *(line for fact in facts for line in fact.lines))
    if not any(map(cannot_draw, printed)):
        return facts
    return (*facts, Fact(label="Letters not drawn", lines=(BOX_NOTE,)))


def _setting(sheet: Sheet, facts: tuple[Fact, ...]) -> Setting:
    column = (sheet.facts.width - sheet.gutter) / 2 * POINTS
    return set_facts(facts, column, sheet.facts.height * POINTS, sheet.more.height * POINTS)


def _title_box(sheet: Sheet, with_photograph: bool) -> Box:
    if not with_photograph:
        return sheet.title
    room = sheet.photograph.left - sheet.gutter - sheet.title.left
    return sheet.title._replace(width=room)


def _first_page(paper: Paper, titling: Titling, setting: Setting, photograph: bytes | None) -> None:
    _draw_head(paper)
    for line in titling.lines:
        paper.pen.line(line.text, line.x, line.y, face=line.face, size=line.size, ink=line.ink)
    if photograph is not None:
        paper.pen.picture(photograph, paper.sheet.photograph)
    _draw_columns(paper, paper.sheet.facts, setting, setting.pages[0])
    _draw_signatures(paper)
    _draw_foot(paper)
    _draw_page_line(paper, 1, len(setting.pages))


def _further_page(paper: Paper, setting: Setting, columns: tuple[Column, Column], at: int) -> None:
    _draw_head(paper)
    name = f"{paper.statement.artist}, {paper.statement.title}"
    more = paper.sheet.more
    shown = shortened(name, "italic", 11, more.width * POINTS)
    paper.pen.line(shown, more.left, paper.sheet.head_rule + 5.2, face="italic", size=11)
    _draw_columns(paper, more, setting, columns)
    _draw_page_line(paper, at, len(setting.pages))


def _draw_head(paper: Paper) -> None:
    pen, sheet, statement = paper.pen, paper.sheet, paper.statement
    frame, gap = sheet.frame, _FRAME_GAP
    pen.outline(frame, ink="bronze", weight=0.7)
    inner = Box(frame.left + gap, frame.top + gap, frame.width - 2 * gap, frame.height - 2 * gap)
    pen.outline(inner, ink="faint", weight=0.3)
    draw_mark(pen, sheet.mark)
    room = sheet.heading.width * POINTS
    middle = sheet.heading.top + 8.2
    pen.line(
        heading(statement).upper(), sheet.heading.left, middle, size=12, ink="ink", spacing=1.4
    )
    shown = shortened(issued_by(statement), "italic", 10.5, room)
    pen.line(shown, sheet.heading.left, middle + 5.2, face="italic", size=10.5, ink="bronze")
    right = sheet.number.right
    pen.line(f"No. {show_number(statement.number)}", right, middle, size=12, align="right")
    issued = shortened(f"Issued {dated(statement.issued, '')}", "italic", 10.5, 48 * POINTS)
    pen.line(issued, right, middle + 5.2, face="italic", size=10.5, ink="bronze", align="right")
    pen.rule(sheet.title.left, sheet.head_rule, right, ink="bronze", weight=0.5)


def _draw_columns(
    paper: Paper, place: Box, setting: Setting, columns: tuple[Column, Column]
) -> None:
    step = (place.width + paper.sheet.gutter) / 2
    for at, column in enumerate(columns):
        left = place.left + at * step
        for line in column:
            y = place.top + line.y / POINTS
            if line.label:
                _label(paper.pen, line.text, left, y)
            else:
                paper.pen.line(line.text, left + line.indent / POINTS, y, size=setting.size)


def _draw_signatures(paper: Paper) -> None:
    pen, sheet = paper.pen, paper.sheet
    pen.rule(sheet.title.left, sheet.foot_rule, sheet.title.right, ink="bronze", weight=0.5)
    for place, who in zip(sheet.signatures, SIGNED_BY, strict=True):
        base = place.bottom - 5.0
        pen.rule(place.left, base, place.right, ink="ink", weight=0.4)
        _label(pen, who.upper(), place.left, base + 3.4)
        _label(pen, "DATE", place.right - 20.0, base + 3.4)


def _draw_foot(paper: Paper) -> None:
    pen, sheet = paper.pen, paper.sheet
    code = matrix(code_text(paper.seal.address, paper.claim.number, paper.seal.claim))
    module = code_module(code.size)
    side = module * (code.size + 2 * QUIET)
    quiet = QUIET * module
    pen.code(code, Box(sheet.code.left - quiet, sheet.code.top - quiet, side, side))
    reserved = sheet.reserved
    pen.outline(reserved, ink="faint", weight=0.5, dash=True)
    lines = _proof_lines(paper.seal, (reserved.width - 5) * POINTS)
    for at, text in enumerate(lines):
        y = reserved.top + reserved.height / 2 + (at - (len(lines) - 1) / 2) * 3.6 + 1
        middle = reserved.left + reserved.width / 2
        pen.line(text, middle, y, face="italic", size=8, ink="bronze", align="centre")
    left = sheet.code.left + side - quiet + 2
    _draw_words(paper, Box(left, sheet.words.top, reserved.left - 5 - left, sheet.words.height))


def _proof_lines(seal: Seal, width: float) -> list[str]:
    """What the box beside the words says: whose proofs the paper carries."""
    if not seal.credential:
        return wrap(RESERVED, "italic", 8, width)
    said = proofs_present(from_bytes(seal.credential))
    lines = [line for text in said for line in wrap(text, "italic", 8, width)]
    if len(lines) > _BOX_LINES:
        lines = [*lines[: _BOX_LINES - 1], "… see the credential attached"]
    return lines


def _draw_words(paper: Paper, place: Box) -> None:
    """The proof in words beside the code: number, key, checkpoint, address and what to compare."""
    pen, claim = paper.pen, paper.claim
    room = place.width * POINTS
    key = VerifierKey.parse(paper.seal.foundry_key)
    book = f"Entry {claim.index} of {claim.size} in the book {claim.origin}"
    y = _draw_digest(pen, place, place.top + 1.6, "Key of the foundry", fingerprint(key.public))
    y = _draw_digest(pen, place, y, CHECKPOINT, claim.root.hex(), book)
    _label(pen, "ADDRESS", place.left, y)
    address = record_address(paper.seal.address, claim.number)
    for text in wrap(address, "roman", 7.4, room):
        y += 3.3
        pen.line(text, place.left, y, size=7.4)
    for at, text in enumerate(wrap(AUTHORITY, "italic", 8.2, room)):
        pen.line(text, place.left, y + 4.8 + at * 3.4, face="italic", size=8.2)


def _draw_digest(pen: Pen, place: Box, y: float, label: str, digest: str, line: str = "") -> float:
    _label(pen, label.upper(), place.left, y)
    if line:
        shown = shortened(line, "roman", 8.2, place.width * POINTS)
        y += 3.5
        pen.line(shown, place.left, y, size=8.2)
    for row in grouped(digest.replace(" ", "")):
        y += 2.9
        pen.line(row, place.left, y, face="mono", size=6.3)
    return y + 4.6


def _draw_page_line(paper: Paper, at: int, of: int) -> None:
    if of == 1:
        return
    text = f"Page {at} of {of}" + (" — continued on the next page" if at < of else "")
    middle = paper.sheet.width / 2
    pen = paper.pen
    pen.line(
        text, middle, paper.sheet.page_line, face="italic", size=8, ink="bronze", align="centre"
    )


def _label(pen: Pen, text: str, x: float, y: float) -> None:
    pen.line(text, x, y, size=LABEL_SIZE, ink="bronze", spacing=LABEL_SPACING)


def _judge_photograph(statement: Statement, photograph: bytes | None) -> None:
    if photograph is None:
        return
    open_picture(photograph)
    if hashlib.sha256(photograph).hexdigest() != statement.photograph:
        raise FileUnusable(
            "The photograph is not the one that the certificate's entry names.",
            "Draw it with the publishable picture filed in the book.",
        )


def _files(seal: Seal) -> dict[str, bytes]:
    keys = (
        PublicKeyEntry(use="foundry", key=seal.foundry_key),
        PublicKeyEntry(use="log", key=seal.log_key),
    )
    credential = {CREDENTIAL: seal.credential} if seal.credential else {}
    return {
        ENTRY: seal.entry,
        PROOF: seal.proof.encode(),
        CLAIM: seal.claim,
        KEYS: write_keys(keys).encode(),
        **credential,
    }


def _description(statement: Statement, address: str, name: str) -> Description:
    return Description(
        title=name,
        subject=f"{heading(statement)} {show_number(statement.number)}",
        author=statement.issuer or statement.foundry,
        issued=statement.issued,
        number=statement.number,
        address=address,
    )
