"""Languages: how each finds its words, and says dates, figures, units and rows."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from babel.messages.catalog import Message
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Unreadable
from editions.pages import amounts, dating, render, site, spoken, tongues
from editions.pages.tongues import Tongue, english, read
from editions.pages.view import room
from editions.trade.dates import say_when
from editions.trade.parties import Party
from editions.trade.quantities import Quantity
from editions.trade.saying import Day, Row, said
from tests.pages.builders import Gallery

THIN, HARD = "\u202f", "\u00a0"


@pytest.fixture(scope="module")
def french() -> Tongue:
    return next(one for one in tongues.tongues() if one.code == "fr")


def test_english_comes_first_and_has_no_path_of_its_own(french: Tongue) -> None:
    assert tongues.tongues() == (english(), french)
    assert [(one.code, one.path, one.tag) for one in tongues.tongues()] == [
        ("en", "", "en"),
        ("fr", "/fr", "fr"),
    ]
    assert tongues.others(english()) == (french,)
    assert tongues.others(french) == (english(),)


def test_each_names_itself_and_its_likeliest_country(french: Tongue) -> None:
    """Unicode CLDR 47: names of languages in themselves, and likely subtags."""
    assert [one.named for one in (english(), french)] == ["English", "Français"]
    assert [one.open_graph for one in (english(), french)] == ["en_GB", "fr_FR"]
    assert Tongue("it").open_graph == "it_IT"
    assert Tongue("pt_BR").open_graph == "pt_BR"
    assert (Tongue("pt_BR").path, Tongue("pt_BR").tag) == ("/pt-br", "pt-BR")


def catalogue(tmp_path: Path, *messages: str) -> Tongue:
    path = tmp_path / "fr.po"
    head = 'msgid ""\nmsgstr "Content-Type: text/plain; charset=utf-8\\n"\n'
    path.write_text("\n".join((head, *messages)), "utf-8")
    return read(path)


@pytest.mark.parametrize(
    ("entry", "said"),
    [
        ('msgid "about %(date)s"\nmsgstr "vers %(date)s"', "vers 1984"),
        ('msgid "about %(date)s"\nmsgstr ""', "about 1984"),
        ('#, fuzzy\nmsgid "about %(date)s"\nmsgstr "vers %(date)s"', "about 1984"),
        ('msgid "about %(date)s"\nmsgstr "vers %(jour)s"', "about 1984"),
        ('msgid "about %(date)s"\nmsgstr "vers"', "about 1984"),
        ('msgid "about %(date)s"\nmsgstr "vers %(date)s %"', "about 1984"),
        ('msgid "about %(date)s"\nmsgstr "vers %(date)d %(date)s"', "about 1984"),
        ('msgid "another"\nmsgstr "autre"', "about 1984"),
    ],
)
def test_a_message_that_is_not_translated_whole_stays_english(
    tmp_path: Path, entry: str, said: str
) -> None:
    tongue = catalogue(tmp_path, entry)
    assert tongue.gettext("about %(date)s", date="1984") == said


def test_a_plural_takes_the_rule_of_its_language(french: Tongue) -> None:
    """CLDR's plural rules: French counts nothing as one, English as many."""
    count = ("%(step)s, %(count)s coat", "%(step)s, %(count)s coats")
    made = Tongue("fr", {(None, count[0]): ("%(step)s %(count)s A", "%(step)s %(count)s B")}, "n>1")
    assert [made.ngettext(*count, n, step="", count=n) for n in (0, 1, 2)] == [
        " 0 A",
        " 1 A",
        " 2 B",
    ]
    assert [english().ngettext("one", "many", n) for n in (0, 1, 2)] == ["many", "one", "many"]
    assert french.ngettext("not", "translated", 0) == "translated"


def test_context_tells_two_meanings_of_one_word_apart() -> None:
    made = Tongue("fr", {("of a paper", "lost"): ("perdu",), (None, "lost"): ("égaré",)})
    assert made.pgettext("of a paper", "lost") == "perdu"
    assert made.gettext("lost") == "égaré"
    assert made.npgettext("of a mold", "lost", "lost", 2) == "lost"


def test_a_form_for_one_may_leave_the_number_out() -> None:
    both = ("one check", "%(count)s checks")
    assert tongues.holds(Message(both, ("un contrôle", "%(count)s contrôles")))
    assert tongues.holds(Message(both, ("%(count)s contrôle", "%(count)s contrôles")))
    assert not tongues.holds(Message(both, ("un contrôle", "%(number)s contrôles")))
    assert not tongues.holds(Message(both, ("un contrôle", "")))


EDTF = (
    "2026-11-24", "2026-11", "2026", "0984", "2026-21", "2026-22", "2026-23", "2026-24", "2026?",
    "2026~", "2026%", "201X", "20XX", "00XX", "2026-XX", "2026-11-XX", "2026-XX-XX", "2026/2027",
    "../2026", "2026/..", "/2026", "2026/", "2026-11-01~/..", "2025-03/2026-11-24?",
)  # fmt: skip


@pytest.mark.parametrize("date", EDTF)
def test_in_english_a_page_says_a_date_as_the_paper_does(date: str) -> None:
    assert dating.when(english(), date) == say_when(date)


@given(st.text("0123456789X-~?%/.", min_size=4, max_size=21))
def test_whatever_is_a_date_is_said_alike_and_what_is_none_stands(text: str) -> None:
    try:
        wanted = say_when(text)
    except Unreadable:
        wanted = text
    assert dating.when(english(), text) == wanted


@pytest.mark.parametrize(
    ("date", "said"),
    [
        ("2026-03-12", "12 mars 2026"),
        ("2026-08", "août 2026"),
        ("1984", "1984"),
        ("1984~", "vers 1984"),
        ("no date", "no date"),
    ],
)
def test_french_dates_are_those_of_the_cldr(french: Tongue, date: str, said: str) -> None:
    """Unicode CLDR 47, fr: "d MMMM y" and "MMMM y"; "vers" for about is our own."""
    assert dating.when(french, date) == said


def test_the_first_of_a_month_is_counted_as_a_language_counts_it() -> None:
    """French writes "1er"; the CLDR's pattern does not."""
    tongue = Tongue("fr", {(dating.FIRST, dating.FIRST_DAY): ("1er %(month)s",)})
    assert dating.when(tongue, "2026-06-01") == "1er juin 2026"
    assert dating.when(tongue, "2026-06-11") == "11 juin 2026"
    assert dating.when(Tongue("fr"), "2026-06-01") == "1 juin 2026"


@pytest.mark.parametrize("born", ["1931", "1931~", "1931?", "1931%", "193X", "0984", None])
@pytest.mark.parametrize("died", ["2009", "2009~", None])
def test_life_dates_in_english_stand_as_the_paper_prints_them(
    born: str | None, died: str | None
) -> None:
    printed = Party(code="Y-0001", since="2026", name="x", born=born, died=died).life
    assert dating.life(english(), printed) == printed


def test_life_dates_are_said_in_the_language_of_the_page() -> None:
    words_: dict[tuple[str | None, str], tuple[str, ...]] = {
        (None, "born %(year)s"): ("né(e) en %(year)s",),
        (None, "about %(date)s"): ("vers %(date)s",),
    }
    tongue = Tongue("fr", words_)
    assert dating.life(tongue, "born 1958") == "né(e) en 1958"
    assert dating.life(tongue, "about 1931–2009") == "vers 1931–2009"
    assert dating.life(tongue, "of the Lower Mill") == "of the Lower Mill"


@pytest.mark.parametrize(
    ("typed", "in_english", "in_french"),
    [
        (Quantity("462", "mm"), "462 mm (18.19 in)", "462_mm (18,19_po)"),
        (Quantity("18 1/2", "in"), "18 1/2 in (469.9 mm)", "18 1/2_po (469,9_mm)"),
        (Quantity("1050", "mm"), "1050 mm (41.34 in)", "1_050_mm (41,34_po)"),
        (Quantity("31.50", "kg"), "31.50 kg (69.4 lb)", "31,50_kg (69,4_lb)"),
        (Quantity("2", "m"), "2 m (2000.0 mm, 78.74 in)", "2_m (2_000,0_mm, 78,74_po)"),
    ],
)
def test_a_quantity_is_told_in_both_units_and_in_the_figures_of_its_reader(
    french: Tongue, typed: Quantity, in_english: str, in_french: str
) -> None:
    """Unicode CLDR 47: fr groups by U+202F and has a decimal comma; its inch is "po"."""
    assert amounts.measured(english(), typed).replace(HARD, " ") == in_english
    assert amounts.measured(french, typed).replace(THIN, "_").replace(HARD, " ") == in_french


def test_digits_are_not_grouped_by_a_mark_that_could_be_a_decimal_one() -> None:
    """German groups by a point (CLDR 47), which an English reader takes for the decimal mark."""
    assert Tongue("de").figures("12500.5") == "12500,5"
    assert Tongue("en").figures("12500.5") == "12500.5"
    assert Tongue("fr").figures("1 3/16") == "1 3/16"
    assert Tongue("fr").figures("<0.05") == "<0.05"


def test_a_row_of_words_ends_as_its_language_ends_it(french: Tongue) -> None:
    """CLDR 47, list patterns: en_GB has no comma before "and"."""
    assert english().listed(["marks", "mass", "colour"]) == "marks, mass and colour"
    assert french.listed(["a", "b", "c"]) == "a, b et c"
    assert french.listed(["a"]) == "a"


def test_what_python_says_is_put_in_with_its_values_said_too() -> None:
    heat, message = said("a heat"), "Signed, {day}; it concerns {what} of {who}."
    told = said(message, day=Day("2026-03-12"), what=Row((heat, "{x}")), who=said("the run"))
    made = Tongue(
        "fr",
        {
            (None, message): ("{who}, {what} : {day}.",),
            (None, "a heat"): ("une coulée",),
            (None, "the run"): ("le tirage",),
        },
    )
    assert spoken.said(english(), told) == str(told)
    assert spoken.said(made, told) == "le tirage, une coulée, {x} : 12 mars 2026."
    assert spoken.said(made, "a heat") == "une coulée"
    assert spoken.said(made, "{x} of a shop") == "{x} of a shop"
    assert spoken.said(made, "") == ""


@pytest.fixture
def third(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A folder of catalogues that has Italian too."""
    folder = Path(str(tongues.folder()))
    for path in folder.glob("*.po"):
        (tmp_path / path.name).write_bytes(path.read_bytes())
    head = 'msgid ""\nmsgstr "Content-Type: text/plain; charset=utf-8\\n"\n\n'
    (tmp_path / "it.po").write_text(f'{head}msgid "Works"\nmsgstr "Opere"\n')
    monkeypatch.setattr(tongues, "folder", lambda: tmp_path)
    forget()
    yield tmp_path
    monkeypatch.undo()
    forget()


def forget() -> None:
    tongues.tongues.cache_clear()
    render._environment.cache_clear()


def test_a_catalogue_laid_in_is_a_language_of_the_site(third: Path, shown: Gallery) -> None:
    """Nothing but the file names it; what it does not translate yet is English."""
    assert [one.code for one in tongues.tongues()] == ["en", "fr", "it"]
    table = {address.path: address for address in site.addresses()}
    assert {"/it/", "/it/C/{}", "/it/run/{}/", "/it/look/", "/it/look/index.json"} <= set(table)
    assert "/it/keys.txt" not in table
    with room(shown.shop.registry) as here:
        page = table["/it/artist/{}/"].make(here, "Y-0002").decode()
        french = table["/fr/artist/{}/"].make(here, "Y-0002").decode()
    assert '<html lang="it">' in page
    assert "<h2>Opere</h2>" in page
    assert "A bronze before you" in page
    assert '<a href="/it/work/K-0001/">' in page
    assert '<meta property="og:locale" content="it_IT">' in page
    for hreflang in ("en", "fr", "it", "x-default"):
        assert f'<link rel="alternate" hreflang="{hreflang}"' in french
    assert '<a href="/it/artist/Y-0002/" hreflang="it" lang="it">Italiano</a>' in french
