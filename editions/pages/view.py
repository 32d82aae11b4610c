"""The view of one record: everything its page shows, as values, read from one moment of the book.

The words of the paper come first, as its holder reads them; beside them stand how the certificate
stands now, what the book holds otherwise since, and the proof.  A replaced certificate does not
tell the number of the one in its place: who found a lost paper must not be led to the new one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import lru_cache
from typing import Any, TypeVar

import msgspec

from certificates.standings import pending_said
from editions.errors import BronzebookError, Contradiction, NotKnown
from editions.ledger.keys import fingerprint
from editions.ledger.notes import VerifierKey
from editions.pages import keeping
from editions.pages.carrying import carried
from editions.pages.desk import Desk
from editions.pages.downloads import offered
from editions.pages.edition import edition
from editions.pages.making import heats_of, making, molds_of
from editions.pages.proving import page_checks, prover_of
from editions.pages.signing import keys_then, signatures
from editions.pages.since import changes, corrections, measures_of, notices, unexplained
from editions.pages.values import Picture, Proof, RecordView, Standing
from editions.pages.watching import Watched
from editions.pages.whereabouts import stays
from editions.registry import Registry
from editions.registry.homes import Home
from editions.store.effective import Stored
from editions.trade.certificates import Certificate
from editions.trade.kinds import BOOK
from editions.trade.molds import Mold
from editions.trade.numbers import read_number
from editions.trade.pieces import Piece
from editions.trade.runs import Run
from editions.trade.text import shown
from editions.trade.works import Work

Made = TypeVar("Made")


class Room:
    """Where views are made: one moment of the book, the files beside it, the day of publishing."""

    def __init__(
        self,
        desk: Desk,
        registry: Registry,
        published: str,
        shared: dict[str, Any] | None = None,
    ) -> None:
        self.desk = desk
        self.registry = registry
        self.home: Home = registry.home
        self.published = published
        self.prover = prover_of(desk)
        self._made: dict[str, Any] = {} if shared is None else shared
        self._last: dict[str, tuple[str, Any, dict[str, None]]] = {}

    def once(self, name: str, make: Callable[[], Made]) -> Made:
        """What many pages share, made for the first that asks."""
        if name not in self._made:
            self._made[name] = make()
        made: Made = self._made[name]
        return made

    def certificate(self, number: str) -> Certificate:
        """The certificate of a number in its kept form.

        Raises:
            NotKnown: If the book holds no such certificate.
            Contradiction: If it holds one that can no longer be read.
        """
        if read_number(number) != number:
            raise NotKnown(f"{shown(number)} is not a number as it is kept.")
        certificate = self.desk.get(number, Certificate)
        if certificate is None and number in self.desk.unreadable:
            raise Contradiction(f"The record of {number} cannot be read.", "Run an audit.")
        if certificate is None:
            raise NotKnown(f"No certificate {number} in this book.", "Compare it with the paper.")
        return certificate

    def _for_one(self, what: str, number: str, make: Callable[[], Made]) -> Made:
        """What all files under one number share; they are made one after the other."""
        reading = self.desk.reading
        if what not in self._last or self._last[what][0] != number:
            with reading.watching() as seen:
                made = make()
            self._last[what] = (number, made, seen)
        _, known, marks = self._last[what]
        reading.saw(marks)
        found: Made = known
        return found

    def paper(self, certificate: Certificate) -> keeping.Paper:
        """The foundry's copy of a certificate's PDF."""
        number = certificate.code
        return self._for_one("paper", number, lambda: keeping.paper(certificate, self.home))

    def view(self, certificate: Certificate) -> RecordView:
        """The view of a certificate's record, in no language."""
        view = self._for_one("view", certificate.code, lambda: self._view(certificate))
        return msgspec.structs.replace(view, published=self.published)

    def _view(self, certificate: Certificate) -> RecordView:
        book, statement = self.desk.book, certificate.statement
        piece = self.desk.get(certificate.piece, Piece)
        run = self.desk.get(certificate.run, Run)
        corrected = corrections(self.desk, certificate)
        changed = unexplained(changes(statement, piece) if piece else (), corrected)
        stored, paper = self.prover.issuing(certificate), self.paper(certificate)
        picture, proof = self._proof(certificate, piece, run, stored, paper)
        data = carried(self.prover, book, certificate, stored, paper)
        return RecordView(
            number=certificate.code,
            address=f"{book.address}/C/{certificate.code}",
            published=self.published,
            foundry=book.foundry_name,
            foundry_place=book.foundry_place,
            standing=_standing(certificate),
            notices=tuple(notices(self.desk, certificate, piece, changed, corrected)),
            statement=statement,
            picture=picture,
            measures=measures_of(statement.stations),
            changed=changed,
            corrected=corrected,
            run=edition(self.desk, run, statement, cast=piece is not None) if run else None,
            making=making(self.desk, piece, run) if piece and not piece.from_object else None,
            proof=proof,
            carried=data,
            stays=tuple(stays(certificate, piece)),
            downloads=tuple(offered(paper, run, proved=data is not None)),
        )

    def _proof(
        self,
        certificate: Certificate,
        piece: Piece | None,
        run: Run | None,
        stored: Stored | None,
        paper: keeping.Paper,
    ) -> tuple[Picture | None, Proof]:
        book = self.desk.book
        under, _ = self.prover.covering(stored)
        codes = self._told(certificate, piece, run)
        checks = list(page_checks(self.prover, self.desk, certificate, stored, codes))
        checks.extend(signatures(self.desk.reading, certificate))
        checks.extend(keys_then(self.desk, certificate))
        checks.append(keeping.drawn(certificate, paper))
        picture = None
        if digest := certificate.statement.photograph:
            data, check = keeping.photograph(digest, self.home)
            picture = Picture(digest=digest, kept=data is not None)
            checks.append(check)
        return picture, Proof(
            checks=(*checks, keeping.keys(book, self.desk.log_keys(), self.home)),
            index=stored.position if stored else None,
            leaf=certificate.leaf,
            size=under.size if under else None,
            root=under.root.hex() if under else None,
            pdf=certificate.pdf,
            certifying_key=fingerprint_of(certificate.foundry_key or book.certifying_key),
            log_key=self._log_key(under.size if under else 0),
            origin=book.origin,
        )

    def _log_key(self, size: int) -> str:
        """The fingerprint of the key that signed the checkpoint of a size."""
        known = self.desk.log_keys()
        return fingerprint_of(str(known.at(size)) if known else self.desk.book.log_key)

    def _told(
        self, certificate: Certificate, piece: Piece | None, run: Run | None
    ) -> tuple[str, ...]:
        """The codes of every subject that the page draws on."""
        codes: list[str | None] = [BOOK, certificate.code, certificate.piece, certificate.run]
        if piece:
            codes += [*heats_of(piece), *molds_of(piece)]
            codes += [self._source(mold) for mold in molds_of(piece)]
            codes += [approval.party for approval in piece.approvals]
            codes += [step.declared_by for step in piece.steps]
        if run:
            work = self.desk.get(run.declared.work, Work)
            codes += [run.declared.work, run.declared.authorised_by, work.artist if work else None]
        return tuple(dict.fromkeys(code for code in codes if code))

    def _source(self, mold: str) -> str | None:
        known = self.desk.get(mold, Mold)
        return known.taken_from if known else None


def record_view(registry: Registry, number: str) -> RecordView:
    """The view of a certificate's record as the book stands now.

    Raises:
        NotKnown: If the book holds no certificate of this number.
        Unreadable: If it is no number.
    """
    with room(registry) as here:
        return here.view(here.certificate(number))


@contextmanager
def room(
    registry: Registry, published: str | None = None, shared: dict[str, Any] | None = None
) -> Iterator[Room]:
    """A room over one moment of a registry; today is the day of publishing when none is given.

    ``shared`` is what rooms over the same state of the book may share: see ``Room.once``.
    """
    day = published or registry.clock().astimezone().date().isoformat()
    with registry.reading() as reading:
        yield Room(Desk(Watched(reading)), registry, day, shared)


def _standing(certificate: Certificate) -> Standing:
    return Standing(
        word=certificate.standing if certificate.given_out else "pending",
        reservation=certificate.statement.paper == "reservation",
        issued=certificate.issued,
        ended=certificate.ended,
        # Who would not sign is between the foundry and the signer.
        because="" if certificate.because == "signature refused" else certificate.because,
        waits="" if certificate.given_out else pending_said(certificate),
    )


@lru_cache(maxsize=64)
def fingerprint_of(key: str) -> str:
    """The fingerprint of a public key's text; empty where it cannot be read."""
    try:
        return fingerprint(VerifierKey.parse(key).public)
    except BronzebookError:
        return ""
