"""The ledger: canonical bytes, the tree over them, and what is signed and proved about the tree.

Values in, values out.  Nothing here knows a table, a file or a kind of entry; what a proof needs of
a store comes in through one small reader.

===============  =============================================================
``canonical``    one value, one sequence of bytes
``envelope``     an entry of the book as bytes
``held``         facts sealed now, to be opened or erased one by one
``tree``         the Merkle tree over the entries, and its proofs
``keys``         Ed25519 keys, their fingerprints, their files
``notes``        texts signed by keys
``logkeys``      the keys of a log through time
``checkpoint``   the state of the book as a signed note
``prooffile``    the proof that an entry is in the book, as one text
``opening``      one held fact, opened to one person
``tiles``        the tree as files, and proofs made from them alone
``cosign``       time-stamped signatures of witnesses
``witness``      what a witness follows, refuses and remembers
``status``       which certificates no longer stand, signed and dated
``moments``      a moment in UTC as text
===============  =============================================================

What has not its form raises ``Unreadable`` (of a key, ``KeyUnusable``); what has its form but does
not agree raises ``Contradiction``.
"""
