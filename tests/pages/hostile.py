"""Texts that try to break a page; the book accepts each, so a page must show each harmlessly."""

from __future__ import annotations

from unicodedata import normalize

SCRIPT = "<script>alert('heron')</script><img src=x onerror=alert(1)>\"'><b>&amp;"
TEMPLATE = '{{ 7*7 }}{% raw %}${7*7}<!--#exec cmd="ls"-->'
RIGHT_TO_LEFT = "مالك الحزين שקט"  # two scripts that run from right to left; invented titles
LONG = "Heronheronheron" * 7
EMOJI = "🗿👩🏽‍🎨🏳️‍🌈 heron 🦩"
# In normalization form C, as the book keeps it.
COMBINING = normalize("NFC", "H" + "\u0315\u0322\u0489\u034f\u0353" * 12 + "eron")
CLOSING = "</title></style></head></body></html><style>*{display:none}</style>"

ALL = (SCRIPT, TEMPLATE, RIGHT_TO_LEFT, LONG, EMOJI, COMBINING, CLOSING)
