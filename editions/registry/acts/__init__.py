"""The acts: what people do with a registry, one function for each, one file for each area.

An act takes a writing and plain values.  It reads what was typed against the book (a code, a shop
tag, a number of a run), fills in what the book knows (the next code, the next pull), and enters one
fact or more; the judges decide whether it may.  Nothing is printed, no file is opened::

    with registry.writing(by="Y-0003") as w:
        pull_waxes(w, "M-0001", "head", 3, mass=read_quantity("1.2 kg", "mass"))

Every act answers with what was entered: the code, the leaf, the position in the book, the remarks
of the judges.  A refusal inside a writing gives the whole of it up.  All acts can be had from
:mod:`editions` by their own names.
"""
