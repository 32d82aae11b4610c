"""Facts of a certificate that were corrected after it was issued.

A correction is an entry of its own; the paper is not drawn again.  So whoever holds the paper must
be told which of its facts the book states otherwise now, and which entry says so.  Every subject
that the certificate draws on is folded as it stood when the certificate was issued, first without
and then with each later correction; where the lines that a paper prints differ, a fact was
corrected::

    for fact in corrected_since(reading, certificate):
        print(fact.says)   # mass of the cast: 12.4 kg; corrected to 12.6 kg, 24 November 2026 …

What merely happened later, such as a new measurement, is no correction and is not told here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import msgspec

from editions.ledger.envelope import Entry, decode
from editions.registry.reading import Reading
from editions.rules.printed import LIFE, Printed, differences, named, printed
from editions.store.effective import AMENDING, Changes, Stored, corrections_in, effective
from editions.trade.certificates import Certificate
from editions.trade.dates import say_when
from editions.trade.kinds import State, fold
from editions.trade.pieces import Piece
from editions.trade.runs import Run
from editions.trade.works import Work

NOT_RECORDED = "not recorded"


class CorrectedFact(msgspec.Struct, frozen=True, kw_only=True):
    """One fact of the paper that a later entry corrects.

    ``of`` is the subject as the paper's reader knows it, ``code`` as the book does; ``leaf`` and
    ``position`` are of the correction, ``entry`` is the leaf of the entry corrected;
    ``on`` is when it was found to be wrong, ``recorded`` when that was entered.
    """

    fact: str
    of: str
    code: str
    was: str
    now: str
    on: str
    recorded: str
    by: str
    position: int
    leaf: str
    entry: str

    @property
    def says(self) -> str:
        """The correction as a sentence that can be quoted."""
        return (
            f"{self.fact} of {self.of}: {self.was}; corrected to {self.now},"
            f" {say_when(self.on)} (entry {self.position})"
        )


def corrected_since(reading: Reading, certificate: Certificate) -> tuple[CorrectedFact, ...]:
    """The facts of a certificate that were corrected after it was issued, in the book's order.

    Raises:
        NotKnown: If the book does not hold the entry that issued it.
    """
    issued = reading.position_of(certificate.leaf)
    if not reading.corrected_after(_at_most(reading, certificate), issued):
        return ()
    codes = _subjects(reading, certificate, issued)
    corrected = reading.corrected_after(codes, issued)
    histories = {code: reading.stored_of(code) for code in codes if code in corrected}
    return corrected_facts(histories, issued, _artist(reading, certificate))


def corrected_facts(
    histories: Mapping[str, Sequence[Stored]], issued: int, artist: str | None = None
) -> tuple[CorrectedFact, ...]:
    """The printed facts that corrections after a position change; a pure function of entries.

    Args:
        histories: For each subject printed, by code, every entry that touches it, in order.
        issued: Position of the entry that issued the certificate.
        artist: The code whose life dates are printed; of any other party only the name is.
    """
    found = (fact for code in histories for fact in _of(code, histories[code], issued, artist))
    return tuple(sorted(found, key=lambda fact: fact.position))


def state_then(
    stored: Sequence[Stored], code: str, before: int, changes: Changes | None = None
) -> State | None:
    """A subject folded from those of its entries that lie before a position.

    Args:
        stored: Every entry that touches the subject, in order.
        code: The subject.
        before: Position of the first entry that is left out.
        changes: What later entries make of them; when absent, what those before the position do.
    """
    earlier = [one for one in stored if one.position < before]
    known = corrections_in(one.raw for one in earlier) if changes is None else changes
    state: State | None = None
    for _, happened in effective(earlier, known):
        state = fold(state, code, happened)
    return state


def _of(
    code: str, stored: Sequence[Stored], issued: int, artist: str | None
) -> Iterator[CorrectedFact]:
    known = [one.raw for one in stored if one.position < issued]
    state = state_then(stored, code, issued, corrections_in(known))
    for later in (one for one in stored if one.position > issued):
        entry = decode(later.raw)
        if state is None or entry.kind not in AMENDING:
            continue
        known.append(later.raw)
        before, state = state, state_then(stored, code, issued, corrections_in(known))
        told = differences(_printed(before, artist), _printed(state, artist))
        for fact, (was, now) in told.items():
            yield _corrected(fact, (code, named(before, artist)), was, now, later, entry)


def _printed(state: State | None, artist: str | None) -> Printed:
    """What a paper prints of a subject; of a party who is not the artist, no life dates."""
    said = printed(state)
    is_artist = state is not None and state.code == artist
    return said if is_artist else {fact: said[fact] for fact in said if fact != LIFE}


def _corrected(
    fact: str,
    subject: tuple[str, str],
    was: Sequence[str],
    now: Sequence[str],
    later: Stored,
    entry: Entry,
) -> CorrectedFact:
    code, of = subject
    return CorrectedFact(
        fact=fact,
        of=of,
        code=code,
        was="; ".join(was) or NOT_RECORDED,
        now="; ".join(now) or NOT_RECORDED,
        on=entry.on,
        recorded=entry.at,
        by=entry.by,
        position=later.position,
        leaf=later.leaf.hex(),
        entry=str(entry.facts["entry"]),
    )


def _at_most(reading: Reading, certificate: Certificate) -> tuple[str, ...]:
    """What the paper may draw on at most, told without folding anything: see :func:`_subjects`."""
    piece, run = reading.state(certificate.piece or ""), reading.state(certificate.run or "")
    spoke = {a.party for a in piece.approvals} if isinstance(piece, Piece) else set[str]()
    if isinstance(run, Run):
        spoke.add(run.declared.authorised_by)
    statement = certificate.statement
    heats = (reading.named(f"heat {heat.number}") for heat in statement.heats)
    codes = (
        certificate.piece,
        _work(reading, certificate),
        _artist(reading, certificate),
        *spoke,
        *(mold.code for mold in statement.molds),
        *heats,
    )
    return tuple(dict.fromkeys(code for code in codes if code))


def _subjects(reading: Reading, certificate: Certificate, issued: int) -> tuple[str, ...]:
    """The codes of what the paper draws on: piece, work, artist, who spoke, molds, heats."""
    statement = certificate.statement
    heats = (reading.named(f"heat {heat.number}") for heat in statement.heats)
    codes = (
        certificate.piece,
        _work(reading, certificate),
        _artist(reading, certificate),
        *_spoke(reading, certificate, issued),
        *(mold.code for mold in statement.molds),
        *heats,
    )
    return tuple(dict.fromkeys(code for code in codes if code))


def _spoke(reading: Reading, certificate: Certificate, issued: int) -> Iterator[str]:
    """The parties whose names stand beside an approval, or beside what is said of the run."""
    run = reading.state(certificate.run or "")
    if isinstance(run, Run) and certificate.statement.run and certificate.statement.run.says:
        yield run.declared.authorised_by
    code = certificate.piece
    piece = state_then(reading.stored_of(code), code, issued) if code else None
    if isinstance(piece, Piece):
        yield from (a.party for a in piece.approvals if a.approved and not a.lapsed)


def _work(reading: Reading, certificate: Certificate) -> str | None:
    run = reading.state(certificate.run or "")
    piece = reading.state(certificate.piece or "")
    if isinstance(run, Run):
        return run.declared.work
    return piece.work if isinstance(piece, Piece) else None


def _artist(reading: Reading, certificate: Certificate) -> str | None:
    work = reading.state(_work(reading, certificate) or "")
    return work.artist if isinstance(work, Work) else None
