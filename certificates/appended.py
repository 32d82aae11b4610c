r"""What was appended to a certificate's PDF after it was drawn: nothing, a seal, or something else.

A PDF may be signed by an update appended to it, which leaves the bytes before it as they were
(ISO 32000-2, 7.5.6 and 12.8).  The drawn part is what the book knows by digest and what is drawn
again to be compared; of what follows only this is allowed: one invisible signature field, and the
mention of it in catalogue, page and description.  Everything else would be seen by a reader and by
no digest of ours.

>>> drawn_part(b"%PDF-1.7 ... startxref\n7\n%%EOF\nmore")
b'%PDF-1.7 ... startxref\n7\n%%EOF\n'
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import pikepdf

_END = re.compile(rb"startxref\r?\n[0-9]{1,10}\r?\n%%EOF\r?\n?")
_CATALOGUE = {"/AcroForm", "/Extensions", "/Version"}
_DESCRIPTION = {"/ModDate", "/Producer"}
_XMP = ("dc:title", "dc:creator", "dc:description", "dc:identifier")
_FORM = {"/Fields", "/SigFlags"}
_FIELD = {"/Type", "/Subtype", "/FT", "/T", "/V", "/Rect", "/F", "/P", "/Parent", "/Kids"}


def drawn_part(pdf: bytes) -> bytes:
    """The file up to its first end mark: all of it, unless something was appended."""
    end = _END.search(pdf)
    return pdf[: end.end()] if end else pdf


def under_seal(pdf: bytes) -> bytes:
    """The file as it was drawn, if one seal and nothing else was appended; else all of it."""
    drawn = drawn_part(pdf)
    return drawn if drawn != pdf and only_sealed(drawn, pdf) else pdf


def only_sealed(drawn: bytes, whole: bytes) -> bool:
    """Whether what was appended to the drawn file adds one invisible signature and nothing else.

    Args:
        drawn: The file as it was drawn.
        whole: The same with what was appended; it begins with ``drawn``.
    """
    import pikepdf

    if not whole.startswith(drawn) or len(_END.findall(whole)) != len(_END.findall(drawn)) + 1:
        return False
    try:
        with (
            pikepdf.open(io.BytesIO(drawn), attempt_recovery=False) as before,
            pikepdf.open(io.BytesIO(whole), attempt_recovery=False) as after,
        ):
            # The description is read last: reading it makes it anew.
            return (
                not any(_changes(before, after))
                and _one_seal(after)
                and _described(before) == _described(after)
            )
    except (pikepdf.PdfError, ValueError, TypeError, KeyError, AttributeError, RuntimeError):
        return False


def _changes(before: pikepdf.Pdf, after: pikepdf.Pdf) -> Iterator[bool]:
    """For every object of the drawn file, and for its trailer, whether it became another one."""
    allowed = {
        before.Root.objgen: _CATALOGUE,
        before.pages[0].obj.objgen: {"/Annots"},
        before.docinfo.objgen: _DESCRIPTION,
    }
    described = before.Root.Metadata.objgen
    for old in before.objects:
        new = after.get_object(old.objgen)
        if old.objgen in allowed:
            yield _entries(old, allowed[old.objgen]) != _entries(new, allowed[old.objgen])
        elif old.objgen != described:
            yield _bytes(old) != _bytes(new)
    yield before.Root.objgen != after.Root.objgen or before.docinfo.objgen != after.docinfo.objgen


def _entries(of: pikepdf.Object, but: set[str]) -> dict[str, bytes]:
    return {key: _spelt(of[key]) for key in map(str, of) if key not in but}


def _spelt(value: Any) -> bytes:
    """A value as a PDF writes it; bare numbers and truths come as Python's own."""
    import pikepdf

    return value.unparse() if isinstance(value, pikepdf.Object) else repr(value).encode()


def _bytes(of: pikepdf.Object) -> tuple[bytes, bytes]:
    import pikepdf

    stream = of.read_raw_bytes() if isinstance(of, pikepdf.Stream) else b""
    return of.unparse(), stream


def _described(document: pikepdf.Pdf) -> list[Any]:
    """What a reader's window may show of the description; signing rewrites the rest."""
    with document.open_metadata(set_pikepdf_as_editor=False, update_docinfo=False) as meta:
        return [meta.get(name) for name in _XMP]


def _one_seal(document: pikepdf.Pdf) -> bool:
    form = document.Root.AcroForm
    fields, annotations = list(form.Fields), list(document.pages[0].obj.Annots)
    if len(fields) != 1 or len(annotations) != 1 or fields[0].objgen != annotations[0].objgen:
        return False
    field = fields[0]
    return (
        set(form.keys()) <= _FORM
        and set(field.keys()) <= _FIELD
        and str(field.FT) == "/Sig"
        and [float(corner) for corner in field.Rect] == [0, 0, 0, 0]
    )
