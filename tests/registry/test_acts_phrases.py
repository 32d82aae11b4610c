"""Short phrases, read and written; each pair is joined by a property."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Unreadable
from editions.registry.acts.phrases import (
    CRITERIA,
    GRADES,
    criterion_text,
    elsewhere_text,
    proofs_text,
    pulls_text,
    read_criterion,
    read_elsewhere,
    read_proofs,
    read_pulls,
)
from editions.rules.designations import SERIES
from editions.trade.molds import Criterion, EarlierPulls
from editions.trade.quantities import Quantity
from editions.trade.runs import Elsewhere
from editions.trade.statement import ProofSeries

NAMED = sorted(set(SERIES) - {"", "PU"})
WORDS = st.from_regex(r"[a-z]+( [a-z]+)?", fullmatch=True).filter(lambda t: len(t) < 40)


@given(
    st.builds(
        ProofSeries,
        series=st.sampled_from(NAMED),
        count=st.integers(1, 9999),
        numerals=st.sampled_from(["arabic", "roman"]),
    )
)
def test_a_series_reads_back_as_it_is_written(proofs: ProofSeries) -> None:
    assert read_proofs(proofs_text(proofs)) == proofs


@given(st.builds(EarlierPulls, section=WORDS, pulls=st.integers(0, 99999), counted=st.booleans()))
def test_earlier_pulls_read_back_as_they_are_written(pulls: EarlierPulls) -> None:
    assert read_pulls(pulls_text(pulls)) == pulls


@given(
    st.builds(
        Elsewhere, designation=st.sampled_from(["3/8", "III/VIII", "AP I/IV", "A"]), where=WORDS
    )
)
def test_a_number_elsewhere_reads_back_as_it_is_written(elsewhere: Elsewhere) -> None:
    assert read_elsewhere(elsewhere_text(elsewhere)) == elsewhere


@given(
    st.builds(
        Criterion,
        name=st.sampled_from(CRITERIA),
        grade=st.sampled_from(GRADES),
        measured=st.sampled_from([None, Quantity("4", "mm"), Quantity("1 3/16", "in")]),
    )
)
def test_a_graded_criterion_reads_back_as_it_is_written(criterion: Criterion) -> None:
    assert read_criterion(criterion_text(criterion)) == criterion


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("4 AP", "4 AP"),
        ("4ap roman", "4 AP roman"),
        ("  2  H.C.  arabic ", "2 HC"),
        ("1 e.a.", "1 EA"),
    ],
)
def test_series_are_read_as_people_type_them(text: str, written: str) -> None:
    assert proofs_text(read_proofs(text)) == written


@pytest.mark.parametrize(
    "text",
    ["", "AP", "4", "AP 4", "0 AP", "-1 AP", "4 XX", "4 PU", "4 AP greek", "4 AP 2 HC", "١ AP"],
)
def test_what_is_no_series_is_unreadable(text: str) -> None:
    with pytest.raises(Unreadable, match="not a series of proofs"):
        read_proofs(text)


@pytest.mark.parametrize(
    "text", ["", "head", "12", "head twelve", "head -1", "head 1.5", "head 012"]
)
def test_what_says_no_pulls_is_unreadable(text: str) -> None:
    with pytest.raises(Unreadable, match="how often a section was pulled"):
        read_pulls(text)


@pytest.mark.parametrize("text", ["", "3/8", "3/8=", "=Lund", "3=Lund", "3/8: Lund"])
def test_what_names_no_number_elsewhere_is_unreadable(text: str) -> None:
    with pytest.raises(Unreadable, match="which number is elsewhere"):
        read_elsewhere(text)


@pytest.mark.parametrize(
    "text", ["", "tears", "tears=", "tears=bad", "rips=sound", "tears=worn/4", "tears=worn/4 kg"]
)
def test_what_grades_nothing_is_unreadable(text: str) -> None:
    with pytest.raises(Unreadable):
        read_criterion(text)


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused_in_our_own_words(text: str) -> None:
    for read in (read_proofs, read_pulls, read_elsewhere, read_criterion):
        with suppress(Unreadable):
            read(text)
