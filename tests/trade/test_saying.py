"""What is said keeps its message and its values apart, and is the English text to all others."""

from __future__ import annotations

import json
import pickle

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.trade.runs import Declaration, run_said, run_title
from editions.trade.saying import Day, Figure, Row, Said, marked, plain, recognised, said
from editions.trade.statement import ProofSeries

ANY = st.text(max_size=40)


@given(ANY, ANY)
def test_a_value_is_never_taken_for_a_part_of_the_message(name: str, number: str) -> None:
    made = said("proof of {name}, {number}", name=name, number=number)
    assert made == f"proof of {name}, {number}"
    assert made.message == "proof of {name}, {number}"
    assert made.values == {"name": name, "number": number}


def test_a_value_that_looks_like_a_place_is_not_filled() -> None:
    assert said("{a} and {b}", a="{b}", b="{a.__class__}") == "{b} and {a.__class__}"


def test_a_message_without_values_keeps_its_braces() -> None:
    assert said("as it {stands}") == "as it {stands}"


def test_a_message_that_lacks_a_value_is_refused() -> None:
    with pytest.raises(KeyError):
        said("{a} and {b}", a="1")


def test_a_day_is_said_in_words_and_kept_as_it_is() -> None:
    made = said("Signed, {day}.", day=Day("2026-03-12"))
    assert made == "Signed, 12 March 2026."
    assert made.values["day"] == "2026-03-12"


def test_a_row_is_said_one_after_the_other() -> None:
    assert said("it concerns {what}.", what=Row((said("a heat"), "{x}"))) == (
        "it concerns a heat, {x}."
    )


def test_a_figure_is_said_as_typed() -> None:
    assert said("{by} above", by=Figure("0.060")) == "0.060 above"


def test_what_is_said_is_the_text_to_whoever_compares_prints_or_looks_it_up() -> None:
    made = said("proof of {who}", who="Pal Varga")
    assert {"proof of Pal Varga": 1}[made] == 1
    assert f"{made}." == "proof of Pal Varga."
    assert json.dumps([made]) == '["proof of Pal Varga"]'
    assert type(str(made)) is str


def test_it_goes_whole_to_another_process() -> None:
    made = pickle.loads(pickle.dumps(said("proof of {who}", who="Pal Varga")))
    assert (made, made.message, made.values) == (
        "proof of Pal Varga", "proof of {who}", {"who": "Pal Varga"},
    )  # fmt: skip


def test_an_encoder_takes_it_as_bare_text_and_nothing_else_that_it_does_not_know() -> None:
    assert msgspec.json.encode(said("no. {n}", n=1), enc_hook=plain) == b'"no. 1"'
    with pytest.raises(TypeError, match="nothing that is said"):
        msgspec.json.encode(object(), enc_hook=plain)


def test_a_marked_message_is_the_message() -> None:
    assert marked("{count} more") == "{count} more"


@given(ANY.filter(bool), ANY.filter(bool))
def test_a_text_is_recognised_by_its_message_and_stays_the_same_text(one: str, two: str) -> None:
    text = f"{one}; {two} (with nickel)"
    again = recognised(text, ["within", "{one}; {two} (with nickel)"])
    assert isinstance(again, Said)
    assert again == text
    assert again.message == "{one}; {two} (with nickel)"


@pytest.mark.parametrize("text", ["", "within it", "within\n", "; (with nickel)"])
def test_a_text_of_no_message_stays_a_bare_text(text: str) -> None:
    again = recognised(text, ["within", "{one}; {two} (with nickel)"])
    assert type(again) is str
    assert again == text


AP = ProofSeries(series="AP", count=4, numerals="roman")
HC = ProofSeries(series="HC", count=2, numerals="arabic")


@pytest.mark.parametrize(
    ("size", "edition_class", "proofs", "english", "message"),
    [
        (8, "original", (AP,), "run of 8 + 4 AP", "run of {size} + {proofs}"),
        (8, "original", (AP, HC), "run of 8 + 4 AP + 2 HC", "run of {size} + {proofs}"),
        (8, "original", (), "run of 8", "run of {size}"),
        (None, "multiple", (), "size not declared", "size not declared"),
        (None, "multiple", (HC,), "size not declared + 2 HC", "size not declared + {proofs}"),
        (1, "unique", (), "unique cast", "unique cast"),
    ],
)
def test_a_run_is_said_in_a_few_words(
    size: int | None,
    edition_class: str,
    proofs: tuple[ProofSeries, ...],
    english: str,
    message: str,
) -> None:
    declared = msgspec.structs.replace(
        msgspec.convert(
            {"work": "K-0001", "authorised_by": "Y-0002", "edition_class": edition_class},
            Declaration,
        ),
        size=size,
        proofs=proofs,
    )
    assert run_said(declared) == run_title(declared) == english
    assert run_said(declared).message == message
    assert type(run_title(declared)) is str
