"""The certificate: what is asserted, how it is signed, drawn, and checked without the foundry.

A certificate is a paper and a proof of it.  The *statement* is every word printed; it lies in an
entry of the book, whose leaf therefore commits to the paper.  The *claim* names that leaf and the
checkpoint it is proved under, and is signed by the foundry; it fits into the printed code.  The
*seal* is what the PDF carries so that it proves itself alone: claim, entry, proof and keys.

Rooms: ``claim`` and ``cose`` (bytes and signature), ``keyfile`` (public keys as text), ``qr`` (the
code), ``type`` (fonts and what they can draw), ``wording``, ``layout`` and ``pdf`` (the paper),
``attach`` (what the PDF carries), ``verify`` (checking, offline).

>>> from certificates.claim import cut
>>> cut("A title that is longer than a code should carry, word by word")
'A title that is longer than a code should carry…'
"""
