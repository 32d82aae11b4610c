"""Charts: numbers in, one SVG text out.  No storage, no clock, no library.

Each chart says its title and what it shows in ``<title>`` and ``<desc>``, so that a screen reader
has both; is drawn in a light and a dark palette that the reader's system chooses between, light on
paper; and never tells anything by colour alone.  The same numbers give the same bytes.
"""
