"""Judges of certificates: the statement agrees with the book, and one paper stands for one cast."""

from __future__ import annotations

from editions.errors import Refused
from editions.rules.judging.belonging import belongs
from editions.rules.judging.bench import judges
from editions.rules.judging.common import known, not_before
from editions.rules.judging.desk import Desk, Draft
from editions.rules.judging.making import approved_before, not_scrapped, poured_or_refused, run_of
from editions.rules.judging.making import called as tagged
from editions.rules.judging.standing import IN_FORCE, called, ended, in_force
from editions.trade.certificates import (
    Certificate,
    CertificateDrawn,
    CertificateIssued,
    CertificateReported,
    CertificateWithdrawn,
)
from editions.trade.dates import say_when
from editions.trade.heats import Heat
from editions.trade.numbers import read_number, show_number
from editions.trade.pieces import Piece
from editions.trade.runs import Run


@judges(CertificateIssued)
def _issued(draft: Draft, facts: CertificateIssued, desk: Desk) -> tuple[str, ...]:
    _one_number(draft, facts)
    replaced = _replaced(facts, desk)
    if facts.statement.paper == "reservation":
        return _reservation(facts, desk)
    piece = _certified_piece(facts, desk)
    not_before(draft, piece.cast_on, f"{tagged(piece)} was cast")
    if facts.statement.paper == "from_object":
        _from_object(piece)
    else:
        _cast_here(facts, piece, desk)
    _only_one(facts, piece, desk)
    unseen = approved_before(piece) if facts.statement.paper == "finished" else ()
    return unseen + _reserved(facts, piece, replaced, desk)


def _one_number(draft: Draft, facts: CertificateIssued) -> None:
    statement = facts.statement
    if len({facts.number, statement.number, draft.subject, read_number(facts.number)}) != 1:
        raise Refused(
            f"The certificate {facts.number} is entered as {draft.subject} and prints"
            f" {statement.number}.",
            "A certificate has one number.",
        )
    if statement.issued != draft.on:
        raise Refused(
            f"The certificate prints {statement.issued} as its day of issue, not {draft.on}.",
            "The day of issue is the day of the entry.",
        )


def _replaced(facts: CertificateIssued, desk: Desk) -> Certificate | None:
    if facts.replaces is None:
        if facts.because:
            raise Refused(
                f"Why a paper is replaced is said ({facts.because}), but not which.",
                "Name the paper that it replaces.",
            )
        return None
    old = known(desk, facts.replaces, Certificate)
    if old.standing not in IN_FORCE:
        raise Refused(
            f"{called(old)} {ended(old)}; it cannot be replaced.",
            "Issue a certificate that replaces none.",
        )
    same_piece = old.piece is not None and old.piece == facts.piece
    same_number = old.piece is None and (old.run, old.statement.designation) == (
        facts.run,
        facts.statement.designation,
    )
    if not (same_piece or same_number):
        raise Refused(
            f"{called(old)} is of {old.piece or old.run}, not of {facts.piece or facts.run}.",
            "Name the paper of the same piece or number.",
        )
    return old


def _reservation(facts: CertificateIssued, desk: Desk) -> tuple[str, ...]:
    statement = facts.statement
    if facts.run is None or facts.piece or statement.piece:
        raise Refused("A reservation is of a number of a run, not of a piece.", "Name the run.")
    run = known(desk, facts.run, Run)
    _says_run(facts, run.code)
    if statement.designation is None:
        raise Refused("The reservation names no number.", "Name the number that is promised.")
    belongs(run.code, run.declared, statement.designation)
    promised = {promise.designation for promise in run.promised}
    if statement.designation not in promised and not run.bearer(statement.designation):
        raise Refused(
            f"{statement.designation} of {run.code} is neither promised nor given.",
            "Promise the number first.",
        )
    for other in _of_number(desk, run.code, statement.designation):
        if other.code != facts.replaces:
            raise Refused(
                f"{called(other)} stands for {statement.designation} of {run.code}.",
                f"Withdraw or replace it first: bronzebook certificate replace {other.code}.",
            )
    return ()


def _of_number(desk: Desk, run: str, designation: str) -> tuple[Certificate, ...]:
    linked = desk.linked("certifies", f"{run} {designation}")
    return tuple(c for c in linked if isinstance(c, Certificate) and c.standing == "stands")


def _certified_piece(facts: CertificateIssued, desk: Desk) -> Piece:
    if facts.piece is None:
        raise Refused("The certificate is of no piece.", "Name the piece.")
    piece = known(desk, facts.piece, Piece)
    not_scrapped(piece)
    statement = facts.statement
    if statement.piece != piece.code or statement.designation not in _designations(facts, piece):
        raise Refused(
            f"The certificate prints {statement.piece}, number {statement.designation}; it is of"
            f" {tagged(piece)}, number {piece.number}.",
            "A certificate prints what the book holds.",
        )
    if facts.run != piece.run:
        raise Refused(
            f"{tagged(piece)} is of {piece.run or 'no run'}, not of {facts.run}.",
            "Name the run that the piece belongs to.",
        )
    if piece.run:
        _says_run(facts, piece.run)
    return piece


def _designations(facts: CertificateIssued, piece: Piece) -> set[str | None]:
    """What the paper may print as the number; of an earlier cast also a mark as found."""
    if facts.statement.paper != "from_object":
        return {piece.number}
    return {piece.number, *(mark.line.text for mark in piece.marks)}


def _says_run(facts: CertificateIssued, run: str) -> None:
    printed = facts.statement.run
    if printed is not None and printed.code != run:
        raise Refused(
            f"The certificate prints the run {printed.code}; it is of {run}.",
            "A certificate prints what the book holds.",
        )


def _from_object(piece: Piece) -> None:
    if not piece.from_object:
        raise Refused(
            f"{tagged(piece)} was cast here; it is not registered from the object.",
            "Issue it as cast here: bronzebook certify.",
        )
    if not piece.marks:
        raise Refused(
            f"Nobody has entered the marks of {tagged(piece)}.",
            "Enter each mark as found on the metal, with its place.",
        )


def _cast_here(facts: CertificateIssued, piece: Piece, desk: Desk) -> None:
    if piece.from_object:
        raise Refused(
            f"{tagged(piece)} was registered from the object; its paper says so.",
            "Issue it as registered from the object.",
        )
    poured_or_refused(piece, "certified")
    run = run_of(desk, piece)
    if piece.number is None and not _goes_unnumbered(run):
        raise Refused(
            f"{tagged(piece)} has no number of {run.code}.",
            f"Give it its number first: bronzebook number give {tagged(piece)} --next.",
        )
    needs = run.declared.needs
    if "approved_in_metal" in needs and not piece.approved("metal"):
        raise Refused(f"{tagged(piece)} is not approved in metal.", _approve(piece, "metal"))
    if "analysis" in needs:
        _analysed(piece, desk)
    if facts.statement.paper == "finished":
        _finished(piece, run)


def _approve(piece: Piece, what: str) -> str:
    return f"Enter the approval first: bronzebook approve {tagged(piece)} {what}."


def _goes_unnumbered(run: Run) -> bool:
    return run.declared.numerals == "none" or run.declared.edition_class == "unique"


def _analysed(piece: Piece, desk: Desk) -> None:
    for section in piece.sections:
        if section.heat is None:
            raise Refused(
                f"{tagged(piece)} {section.name} was not poured here; no heat is analysed.",
                "Its run asks for one of each heat; that is amended before anything locks the run.",
            )
        heat = known(desk, section.heat, Heat)
        if heat.verdict in ("not analysed", "outside"):
            raise Refused(
                f"{heat.code}, from which {tagged(piece)} was poured, is {heat.verdict}; its run"
                " asks for an analysis.",
                "Enter the analysis; a heat outside its limits gets no certificate in this run.",
            )


def _finished(piece: Piece, run: Run) -> None:
    if piece.released_as == "raw metal":
        raise Refused(
            f"{tagged(piece)} was released in raw metal.", "Issue its certificate in raw metal."
        )
    coloured = piece.colours or any(step.step == "coloured" for step in piece.steps)
    if not coloured and run.declared.colour.casefold() != "none":
        raise Refused(
            f"{tagged(piece)} is not coloured.",
            f"Enter it: bronzebook colour {tagged(piece)} --words …; or certify --raw-metal.",
        )
    if "approved_in_colour" in run.declared.needs and not piece.approved("colour"):
        raise Refused(f"{tagged(piece)} is not approved in colour.", _approve(piece, "colour"))


def _only_one(facts: CertificateIssued, piece: Piece, desk: Desk) -> None:
    """Refuse a second paper beside one that stands, or beside one that is gone and may turn up."""
    for other in in_force(desk, piece):
        if other.code != facts.replaces and other.standing != "stands":
            raise Refused(
                f"Certificate {show_number(other.code)} of {tagged(piece)} was reported"
                f" {other.standing}; a new one takes its place, it does not stand beside it.",
                f"Replace it: bronzebook certificate replace {other.code} --because"
                f" {other.standing}.",
            )
        if other.code != facts.replaces and not other.given_out:
            raise Refused(
                f"Certificate {show_number(other.code)} of {tagged(piece)} is issued and not given"
                " out yet; a cast has one.",
                "See what it waits for: bronzebook waiting; if it is wrong: bronzebook certificate"
                f" withdraw {other.code} --because error.",
            )
        if other.code != facts.replaces:
            raise Refused(
                f"Certificate {show_number(other.code)} of {tagged(piece)} stands; a cast has one.",
                f"If its paper is lost: bronzebook certificate replace {other.code} --because lost;"
                f" if it is wrong: bronzebook certificate withdraw {other.code} --because error.",
            )


def _reserved(
    facts: CertificateIssued, piece: Piece, replaced: Certificate | None, desk: Desk
) -> tuple[str, ...]:
    if piece.run is None or piece.number is None:
        return ()
    known_here = {*piece.certificates, replaced.code if replaced else None}
    return tuple(
        f"{called(one)} of {piece.number} stands still."
        for one in _of_number(desk, piece.run, piece.number)
        if one.code not in known_here and one.code != facts.number
    )


@judges(CertificateDrawn)
def _drawn(draft: Draft, facts: CertificateDrawn, desk: Desk) -> tuple[str, ...]:
    certificate = _in_force(draft, desk, ("stands",), "cannot be drawn")
    if certificate.pdf:
        raise Refused(
            f"{called(certificate)} is drawn already.",
            "A paper is drawn once; replace it where it was lost.",
        )
    if facts.size == 0:
        raise Refused("An empty file is no certificate.", "Draw the certificate again.")
    return ()


@judges(CertificateWithdrawn)
def _withdrawn(draft: Draft, facts: CertificateWithdrawn, desk: Desk) -> tuple[str, ...]:
    certificate = _in_force(draft, desk, IN_FORCE, "cannot be withdrawn")
    if facts.because == "signature refused" and not certificate.refused:
        raise Refused(
            f"The book holds no refusal to sign {called(certificate)} that still counts.",
            "Take the reply that refuses: bronzebook request take REPLY; or give another reason.",
        )
    return ()


@judges(CertificateReported)
def _reported(draft: Draft, facts: CertificateReported, desk: Desk) -> tuple[str, ...]:
    so = f"cannot be reported {facts.because}"
    certificate = _in_force(draft, desk, IN_FORCE, so)
    if certificate.standing == facts.because:
        raise Refused(
            f"{called(certificate)} was reported {facts.because}"
            f" {say_when(certificate.ended or draft.on)} already.",
            f"Replace it: bronzebook certificate replace {certificate.code} --because"
            f" {certificate.standing}.",
        )
    if certificate.pdf is None:
        raise Refused(
            f"{called(certificate)} is not drawn; there is no paper to lose.",
            "Withdraw it instead.",
        )
    if certificate.ended:
        not_before(draft, certificate.ended, f"it was reported {certificate.standing}")
    return ()


def _in_force(draft: Draft, desk: Desk, allowed: tuple[str, ...], so: str) -> Certificate:
    certificate = known(desk, draft.subject, Certificate)
    if certificate.standing not in allowed:
        raise Refused(
            f"{called(certificate)} {ended(certificate)} and {so}.",
            f"See: bronzebook certificate show {certificate.code}.",
        )
    not_before(draft, certificate.issued, "it was issued")
    return certificate
