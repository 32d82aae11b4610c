"""Tests of reading CSV files: each layout, the slips people make, and files that are none."""

from __future__ import annotations

import csv
import hashlib
import io
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import BronzebookError, FileUnusable
from editions.exchange import rows
from editions.exchange.layouts import LAYOUTS
from editions.exchange.rows import Layout, Sheet, read_rows

PLAIN = Layout("plain", {"title"}, {"artist", "note"})


def read(text: str) -> Sheet:
    return read_rows(text.encode(), (PLAIN,))


def cells(sheet: Sheet) -> list[dict[str, str]]:
    return [dict(row) for row in sheet.rows]


@pytest.mark.parametrize("layout", LAYOUTS)
def test_each_layout_is_known_by_its_columns(layout: Layout) -> None:
    header = ",".join(sorted(layout.needs | layout.may))
    assert read_rows(f"{header}\n".encode(), LAYOUTS).layout is layout
    needed = ",".join(sorted(layout.needs))
    assert read_rows(f"{needed}\n".encode(), LAYOUTS).layout is layout


@pytest.mark.parametrize(
    "text",
    [
        "title,artist\nHeron,Ilse Varga\n",
        "Title,ARTIST\nHeron,Ilse Varga",
        "artist,title\nIlse Varga,Heron\n",
        "title;artist\nHeron;Ilse Varga\n",
        "\ufefftitle,artist\r\nHeron,Ilse Varga\r\n",
        '"title","artist"\n"Heron","Ilse Varga"\n',
        " title , artist \n Heron , Ilse Varga \n",
        "title,artist\n\n,\nHeron,Ilse Varga\n\n",
        "title,artist\rHeron,Ilse Varga\r",
        "title,artist,note\nHeron,Ilse Varga,\n",
    ],
)
def test_one_table_written_in_many_ways_reads_the_same(text: str) -> None:
    assert cells(read(text)) == [{"title": "Heron", "artist": "Ilse Varga"}]


def test_a_column_in_another_spelling_is_the_same_column() -> None:
    sheet = read_rows(b"Title,Mark,Color\nHeron,3/8,green\n", LAYOUTS)
    assert cells(sheet) == [{"title": "Heron", "mark": "3/8", "colour": "green"}]


def test_a_column_named_with_underscores_or_two_spaces_is_the_same_column() -> None:
    sheet = read_rows(b"Title,Mark,mark_place,MARK  METHOD\nHeron,3/8,base,cut\n", LAYOUTS)
    assert cells(sheet) == [
        {"title": "Heron", "mark": "3/8", "mark place": "base", "mark method": "cut"}
    ]


def test_quotation_marks_keep_separators_and_doubled_quotation_marks() -> None:
    sheet = read('title,note\n"Heron, standing","called ""the tall one"", twice"\n')
    assert cells(sheet) == [{"title": "Heron, standing", "note": 'called "the tall one", twice'}]


def test_rows_are_numbered_as_a_spreadsheet_numbers_them() -> None:
    sheet = read("title\nHeron\n\nHand\n")
    assert [(row.number, row["title"], len(row)) for row in sheet.rows] == [
        (2, "Heron", 1),
        (4, "Hand", 1),
    ]


def test_the_digest_is_that_of_the_bytes_as_they_came() -> None:
    data = b"\xef\xbb\xbftitle\r\nHeron\r\n"
    assert read_rows(data, (PLAIN,)).digest == hashlib.sha256(data).hexdigest()


REFUSED = {
    "": "The file is empty",
    "\n\n,,\n": "The file is empty",
    "artist,note\nIlse Varga,\n": "The columns are of no layout that is known",
    "title,title\na,b\n": "“title” stands twice",
    "title,artis\nHeron,Ilse\n": "“artis” is no column of the layout plain. Did you mean artist?",
    "title,weight of the crate\nHeron,4\n": "Known: artist, note, title.",
    "title,\nHeron,\n": "is no column of the layout plain",
    "title,artist\nHeron\n": "Row 2 has 1 cells, the first row has 2",
    "title,artist\nHeron,Ilse,1931\n": "Row 2 has 3 cells, the first row has 2",
    "title,artist\nHeron;Ilse\n": "Row 2 has 1 cells",
    'title,artist\n"Heron,Ilse\n': "cannot be read",
    'title,artist\n"Heron"x,Ilse\n': "Row 2 cannot be read",
    "title\nHe\x00ron\n": "Row 2",
    "title\nHe\x07ron\n": "Row 2",
    "title\nHeron\u202e\n": "Row 2",
    'title,note\nHeron,"one\ntwo"\n': "Row 3",
    f"title\n{'x' * 2001}\n": "Row 2",
    f"title\n{'x' * 140_000}\n": "Row 2 cannot be read: field larger than field limit",
    "ti\x00tle\nHeron\n": "The columns are of no layout",
    "title,no\x07te\nHeron,x\n": "is no column of the layout plain",
}


@pytest.mark.parametrize("text", REFUSED, ids=range(len(REFUSED)))
def test_what_cannot_be_read_is_refused_in_words(text: str) -> None:
    with pytest.raises(FileUnusable) as refused:
        read(text)
    assert REFUSED[text] in str(refused.value)
    assert refused.value.remedy


@pytest.mark.parametrize(
    ("data", "where"),
    [
        ("title\nDurée\n".encode("latin-1"), "byte 10 cannot be read"),
        ("title\nHeron\n".encode("utf-16"), "byte 1 cannot be read"),
        (b"title\n\xed\xa0\x80\n", "byte 7 cannot be read"),
        (b"PK\x03\x04" + bytes(range(256)), "cannot be read"),
    ],
)
def test_another_encoding_is_named_with_its_place(data: bytes, where: str) -> None:
    with pytest.raises(FileUnusable, match=where) as refused:
        read_rows(data, (PLAIN,))
    assert "UTF-8" in refused.value.remedy


def test_a_file_of_more_than_twenty_megabytes_is_refused() -> None:
    head = b"title\n"
    with pytest.raises(FileUnusable, match="larger than 20 MB"):
        read_rows(head + b"x" * (rows.LARGEST - len(head) + 1), (PLAIN,))


def test_a_hundred_thousand_rows_are_the_most(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rows, "MOST_ROWS", 50)
    assert len(read("title\n" + "Heron\n" * 49).rows) == 49
    with pytest.raises(FileUnusable, match="more than 50 rows"):
        read("title\n" + "Heron\n" * 50)


def test_a_million_columns_are_refused_at_once() -> None:
    with pytest.raises(FileUnusable, match="stands twice"):
        read("title" + "," * 1_000_000 + "\n")
    many = ",".join(f"c{at}" for at in range(200_000))
    with pytest.raises(FileUnusable, match="“c0” is no column"):
        read(f"title,{many}\n")


def refusal(data: bytes) -> type[BronzebookError] | None:
    """The class of error by which a file is refused; None where it is read."""
    try:
        read_rows(data, LAYOUTS)
    except BronzebookError as fault:
        return type(fault)
    return None


CELL = st.text(
    st.characters(codec="utf-8", categories=("L", "N", "P", "S", "Zs")), max_size=12
).map(lambda text: " ".join(text.split()))
TABLE = st.lists(st.tuples(CELL.filter(bool), CELL, CELL), max_size=6)


@given(TABLE, st.sampled_from(",;"))
def test_whatever_a_spreadsheet_writes_is_read_back(
    table: list[tuple[str, str, str]], separator: str
) -> None:
    out = io.StringIO()
    writer = csv.writer(out, delimiter=separator, quoting=csv.QUOTE_ALL)
    writer.writerows([("title", "artist", "note"), *table])
    expected = [
        {
            name: unicodedata.normalize("NFC", cell)
            for name, cell in zip(("title", "artist", "note"), row, strict=True)
            if cell
        }
        for row in table
    ]
    assert cells(read(out.getvalue())) == expected


@given(st.binary(max_size=400))
def test_any_bytes_are_read_or_refused_by_one_of_our_errors(data: bytes) -> None:
    for start in (b"", b"title,mark\n", b"title,artist\n"):
        assert refusal(start + data) in (None, FileUnusable)
