"""A seal that PDF readers show: PAdES (ETSI EN 319 142-1, B-B), by a certificate from outside.

Some owners and courts ask for a signature that their PDF reader shows.  A foundry that has a seal
certificate (PKCS #12) may put one on a drawn certificate, appended to it, so that the drawn bytes
stay as the book knows them.  It adds nothing to what the book proves, and vouches for a name only
as far as the reader trusts who issued the certificate; therefore it is an extra, and the only room
that knows pyHanko.
"""

from __future__ import annotations

import io
import warnings
from typing import Any

from certificates.appended import drawn_part, only_sealed
from certificates.checks import Check, agrees, contradicts, unchecked
from editions.errors import KeyUnusable, MachineRefused, Refused
from editions.trade.text import shown

SEAL = "seal for PDF readers"

_FIELD = "Seal"
_LONGEST = 200
_REMEDY = "Give the PKCS #12 file (.p12 or .pfx) that came with it, and its passphrase."


def seal_pdf(pdf: bytes, pkcs12: bytes, passphrase: str) -> bytes:
    """A drawn certificate with a PAdES signature appended; the bytes before it are unchanged.

    Args:
        pdf: The certificate as it was drawn.
        pkcs12: The seal certificate with its private key.
        passphrase: Opens it.

    Raises:
        Refused: If something was appended to the PDF already.
        KeyUnusable: If the PKCS #12 file or its passphrase is not right.
        MachineRefused: If the extra ``pades`` is not installed.
    """
    signers, fields, writer = _library()
    if drawn_part(pdf) != pdf:
        raise Refused("This PDF bears a seal already, or was changed after it was drawn.")
    try:
        signer = signers.SimpleSigner.load_pkcs12_data(
            pkcs12, other_certs=[], passphrase=passphrase.encode()
        )
    except ValueError:
        raise KeyUnusable("The seal certificate does not open so.", _REMEDY) from None
    metadata = signers.PdfSignatureMetadata(
        field_name=_FIELD, subfilter=fields.SigSeedSubFilter.PADES, md_algorithm="sha256"
    )
    made = signers.PdfSigner(metadata, signer=signer).sign_pdf(
        writer(io.BytesIO(pdf)), output=io.BytesIO()
    )
    return bytes(made.getvalue())


def seal_checks(whole: bytes) -> tuple[Check, ...]:
    """What is to be said of what was appended to a certificate's PDF; nothing where nothing was."""
    drawn = drawn_part(whole)
    if drawn == whole:
        return ()
    if not only_sealed(drawn, whole):
        said = "Something was appended to the PDF after it was drawn: what it shows may differ."
        return (contradicts(SEAL, said),)
    try:
        return (_judged(whole),)
    except MachineRefused as fault:
        return (unchecked(SEAL, f"A seal was added after the drawing. {fault}"),)


def _judged(whole: bytes) -> Check:
    _library()
    from pyhanko.pdf_utils.reader import PdfFileReader
    from pyhanko.sign.validation.generic_cms import validate_sig_integrity

    try:
        (seal,) = PdfFileReader(io.BytesIO(whole)).embedded_regular_signatures
        seal.compute_integrity_info()
        whose = seal.signer_cert.subject.human_friendly
        sound = validate_sig_integrity(
            seal.signer_info, seal.signer_cert, "data", seal.compute_digest()
        )
    except Exception as fault:  # noqa: BLE001  - a stranger's bytes; its parsers raise what they like
        return contradicts(SEAL, f"The seal cannot be read ({type(fault).__name__}).")
    if sound != (True, True) or seal.coverage.name != "ENTIRE_FILE":
        return contradicts(SEAL, f"The seal by {shown(whose, _LONGEST)} does not hold.")
    return agrees(
        SEAL,
        f"A seal by {shown(whose, _LONGEST)} was added after the drawing, and nothing else. Who "
        "issued that certificate is for a PDF reader to say.",
    )


def _library() -> tuple[Any, Any, Any]:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
            from pyhanko.sign import fields, signers
    except ImportError:
        raise MachineRefused(
            "Seals for PDF readers need an extra that is not installed.",
            "Install it: pip install 'bronzebook[pades]'.",
        ) from None
    return signers, fields, IncrementalPdfFileWriter
