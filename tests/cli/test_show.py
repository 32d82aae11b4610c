"""``show``: anything by its code, tag or number."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest

from certificates.issue import issue, replace_lost, withdraw
from editions.registry import Registry
from editions.registry.acts.approvals import approve_piece
from editions.registry.acts.colour import apply_colour, write_recipe
from editions.registry.acts.heats import analyse_heat, charge_line, open_heat, pour_heat
from editions.registry.acts.marks import record_mark
from editions.registry.acts.molds import destroy_mold, inspect_mold, retire_mold
from editions.registry.acts.numbers import promise_number
from editions.registry.acts.parties import enter_party, give_authority
from editions.registry.acts.phrases import read_criterion
from editions.registry.acts.pieces import measure_piece, note_defect, register_cast, scrap_piece
from editions.registry.acts.runs import close_run
from editions.registry.acts.steps import record_step
from editions.registry.acts.works import measure_model
from editions.trade.quantities import read_quantity
from editions.trade.runs import Run
from editions.trade.statement import Station
from tests.cli.conftest import Call, Shop, Shown
from tests.registry import builders

HEIGHT = Station(name="height", length=read_quantity("450 mm", "length"), base="without")


def _rows(text: str, name: str) -> list[list[str]]:
    """The lines of one block of a piped description, cut at the tabs."""
    lines = [line.split("\t") for line in text.splitlines()]
    return [line[1:] for line in lines if line[0] == name]


def _show(call: Call, code: str, *words: str) -> str:
    result = call("show", code, *words)
    assert result.exit_code == 0, result.stderr
    return result.stdout


def test_a_piece_is_shown_with_its_sections_steps_marks_and_approvals(
    call: Call, registry: Registry, shop: Shop
) -> None:
    with registry.writing() as w:
        hand = enter_party(w, "hand", private_name="Petra Lindqvist").code
        recipe = write_recipe(w, "River brown", words="brown, green in the hollows").code
        apply_colour(w, shop.numbered, recipe=recipe)
        approve_piece(
            w, shop.numbered, "colour", by=shop.artist, how="by photograph", approved=False
        )
        record_step(w, "welded", [shop.numbered], section="body", hand=hand)
        record_step(w, "plugged", [shop.numbered], how="elsewhere", declared_by=shop.artist)
        note_defect(w, shop.numbered, "cold shut", section="body")
        record_mark(w, shop.numbered, "III/VIII", place="base, left", method="cold stamp")
        measure_piece(w, shop.numbered, [HEIGHT], mass=read_quantity("12.4 kg", "mass"))
    text = _show(call, "t-0102")
    today = _rows(text, "cast")[0][0]
    assert text.startswith(f"{shop.numbered}\tHeron, standing, 3/8\n")
    assert _rows(text, "number given") == [["3/8"]]
    assert _rows(text, "run") == [[f"{shop.run} run of 8 + 4 AP"]]
    assert _rows(text, "mass") == [["12.4 kg"]]
    section = _rows(text, "sections")[0]
    assert section[0] == "body"
    assert section[4].startswith("H-0002 heat 26-0002")
    steps = _rows(text, "steps")[0]
    assert steps[0] == today
    assert steps[1].startswith("shelled coat 1, dewaxed, fired, poured of body")
    assert f"welded of body ({hand})" in steps[1]
    assert f"plugged (elsewhere, declared by {shop.artist})" in steps[1]
    assert _rows(text, "approvals")[-1][:4] == [
        "colour", "refused", f"{shop.artist} Ilse Varga", "by photograph",
    ]  # fmt: skip
    assert _rows(text, "colour")[-1][:3] == [
        "brown, green in the hollows", f"{recipe} River brown", "1",
    ]  # fmt: skip
    assert _rows(text, "marks borne")[0][:4] == ["III/VIII", "III/VIII", "base, left", "cold stamp"]
    assert _rows(text, "measured") == [["height", "450 mm", "without base"]]
    assert _rows(text, "defects")[0][2] == "body"


def test_a_scrapped_section_keeps_its_first_casting_in_sight(
    call: Call, registry: Registry, shop: Shop
) -> None:
    with registry.writing() as w:
        witness = enter_party(w, "witness").code
        scrap_piece(w, shop.poured, evidence="cut up, photographs 1 to 4", section="body")
        scrap_piece(w, shop.numbered, evidence="cut up", witness=witness)
    sections = _rows(_show(call, shop.poured), "sections")
    assert sections[0][:5] == ["body", "", "", "", ""]
    assert sections[1][0] == "body"
    assert "cut up, photographs 1 to 4" in sections[1][5]
    scrapped = _rows(_show(call, shop.numbered), "scrapped")[0][0]
    assert f"cut up, witness {witness}" in scrapped


def test_an_earlier_cast_says_that_it_was_registered_from_the_object(
    call: Call, registry: Registry, shop: Shop
) -> None:
    with registry.writing() as w:
        cast = register_cast(w, shop.work, cast="1987~", foundry="not known", tag="OLD-1").code
    text = _show(call, cast)
    assert _rows(text, "registered") == [["from the object, an earlier cast"]]
    assert _rows(text, "cast") == [["1987~"]]
    assert cast in _rows(_show(call, shop.work), "earlier casts")[0]


def test_a_party_a_work_and_a_model_are_shown_with_what_hangs_on_them(
    call: Call, registry: Registry, shop: Shop
) -> None:
    with registry.writing() as w:
        estate = enter_party(w, "estate", name="Estate of Ilse Varga").code
        give_authority(w, estate, shop.artist, capacity="estate", document="will of 1990")
        model = w.get(shop.run, Run).declared.model or ""
        measure_model(w, model, [HEIGHT])
    assert _rows(_show(call, shop.artist), "works") == [[shop.work, "Heron, standing"]]
    authority = _rows(_show(call, estate), "authority")[0]
    assert authority[:4] == [
        f"{estate} Estate of Ilse Varga", f"{shop.artist} Ilse Varga", "estate", "will of 1990",
    ]  # fmt: skip
    assert _rows(_show(call, shop.artist), "authority") == [authority]
    work = _show(call, shop.work)
    assert _rows(work, "artist") == [[f"{shop.artist} Ilse Varga"]]
    assert _rows(work, "runs") == [[shop.run, "run of 8 + 4 AP", "1", "open"]]
    assert _rows(work, "models") == [[model, "original", "", ""]]
    shown = _show(call, model)
    assert _rows(shown, "measured") == [["height", "450 mm", "without base", ""]]
    assert _rows(shown, "molds") == [[shop.mold, "silicone", "in use"]]


def test_a_run_is_shown_with_every_number_it_gave_or_promised(
    call: Call, registry: Registry, shop: Shop
) -> None:
    with registry.writing() as w:
        promise_number(w, shop.run, "5/8", held_for="payment")
    text = _show(call, shop.run)
    assert _rows(text, "proofs") == [["4 AP, roman"]]
    assert _rows(text, "locked")[0][0].startswith("by first cast, ")
    assert _rows(text, "closed") == [["no"]]
    assert _rows(text, "numbers") == [
        ["3/8", "given", shop.numbered],
        ["5/8", "held for payment", ""],
    ]
    with registry.writing() as w:
        scrap_piece(w, shop.started, evidence="its shell broke; nothing was cast")
        close_run(w, shop.run, by_declaration=True)
    assert "by declaration" in _rows(_show(call, shop.run), "closed")[0][0]


def test_a_mold_is_shown_with_its_pulls_and_condition(
    call: Call, registry: Registry, shop: Shop
) -> None:
    with registry.writing() as w:
        tears, detail = read_criterion("tears=worn/4mm"), read_criterion("detail=sound")
        inspect_mold(w, shop.mold, "body", [tears, detail])
    section = _rows(_show(call, shop.mold), "sections")[0]
    assert section[:3] == ["body", "3", "worn: tears worn"]
    assert section[3].endswith(", at pull 3")
    with registry.writing() as w:
        retire_mold(w, shop.mold)
        witness = enter_party(w, "witness").code
        destroy_mold(w, shop.mold, witness=witness, evidence="cut up on film")
    text = _show(call, shop.mold)
    assert _rows(text, "destroyed")[0][0].endswith(f", witness {witness}")
    assert _rows(text, "sections")[0][5]


def test_a_wax_and_a_recipe_are_shown(call: Call, registry: Registry, shop: Shop) -> None:
    text = _show(call, shop.wax)
    assert _rows(text, "judged") == [["not judged"]]
    assert _rows(text, "pull") == [["1"]]
    assert _rows(text, "fate") == [["in stock"]]
    with registry.writing() as w:
        recipe = write_recipe(w, "River brown", words="brown").code
        write_recipe(w, recipe=recipe, words="brown, darker")
    text = _show(call, recipe)
    assert _rows(text, "latest version") == [["2"]]
    assert [row[:2] for row in _rows(text, "versions")] == [["1", "brown"], ["2", "brown, darker"]]


def test_a_heat_is_shown_with_its_charge_its_verdict_and_a_caution(
    call: Call, registry: Registry, shop: Shop
) -> None:
    with registry.writing() as w:
        charge = [charge_line("ingot", "LOT 881=60kg"), charge_line("returns", "26-0001=40kg")]
        heat = open_heat(w, "26-0900", alloy="C87300", charge=charge).code
        # The melt computed in the foundry's figures, within ASTM B584-14 for C87300.
        melt = {"Cu": "94.44", "Si": "4.26", "Mn": ".99", "Fe": ".11", "Zn": ".07", "Pb": ".02"}
        analyse_heat(w, heat, melt, method="OES", laboratory=None)
    result = call("show", "26-0900")
    text = result.stdout
    assert text.startswith(f"{heat}\theat 26-0900\n")
    assert _rows(text, "poured") == [["not yet"]]
    assert _rows(text, "verdict")[0][0].startswith("within (ASTM B584-14")
    assert _rows(text, "charge")[1] == [
        "returns",
        "26-0001",
        f"{shop.heat} heat 26-0001, C87300",
        "40 kg",
    ]
    assert ["Cu", "94.44"] in _rows(text, "analysed")
    assert "caution" not in result.stderr
    piece = builders.a_piece(registry, shop.run, to="fired", tag="T-0109")
    with registry.writing() as w:
        pour_heat(w, heat, [piece], metal=read_quantity("2000 F", "temperature"))
    result = call("show", heat)
    assert _rows(result.stdout, "metal at") == [["2000 °F"]]
    assert _rows(result.stdout, "shells") == [["1", f"{piece} T-0109", "body"]]
    assert result.stderr.startswith("caution: Molten metal")


@pytest.fixture
def papers(registry: Registry, shop: Shop) -> tuple[str, str]:
    """A certificate that was replaced, and the one that replaced it."""
    with registry.writing() as w:
        approve_piece(w, shop.numbered, "colour", by=shop.artist, how="in person")
    (first,) = issue(registry, [shop.numbered], passphrase=builders.PASSPHRASE)
    (second,) = replace_lost(registry, first.number, passphrase=builders.PASSPHRASE)
    return first.number, second.number


def test_a_certificate_is_shown_with_its_standing_however_its_number_is_typed(
    call: Call, registry: Registry, shop: Shop, papers: tuple[str, str]
) -> None:
    old, new = papers
    typed = f"{new[:4]}-{new[4:8]}-{new[8:]}".lower()
    text = _show(call, typed)
    assert text.startswith(f"{new[:4]} {new[4:8]} {new[8:]}\tcertificate of a finished cast\n")
    assert _rows(text, "standing") == [["stands"]]
    assert _rows(text, "replaces") == [[f"{old[:4]} {old[4:8]} {old[8:]}"]]
    assert "SHA-256" in _rows(text, "drawn")[0][0]
    assert _rows(_show(call, old), "standing")[0][0].startswith("replaced by ")
    withdraw(registry, new, because="disputed")
    assert _rows(_show(call, new), "standing")[0][0].endswith(": disputed")
    printed = [f"{number[:4]} {number[4:8]} {number[8:]}" for number in sorted(papers)]
    assert [row[:3] for row in _rows(_show(call, shop.run), "papers")] == [
        [number, "certificate", "3/8"] for number in printed
    ]


def test_the_book_shows_itself(call: Call) -> None:
    text = _show(call, "BOOK")
    assert _rows(text, "foundry") == [["Y-0001 Kiln Lane Bronze"]]
    assert _rows(text, "address") == [[builders.ADDRESS]]


def test_history_tells_when_it_happened_when_it_was_recorded_and_who(
    call: Call, registry: Registry, shop: Shop
) -> None:
    with registry.writing() as w:
        record_step(w, "shelled", [shop.started], coat=1)
        register_cast(w, shop.work, cast="1987", code="P-0500", on="2020-05-04")
        year = w.today[:4]
    rows = _rows(_show(call, shop.started), "history")
    assert [row[0] for row in rows] == ["1", "2"]
    assert rows[1][3:5] == ["step done: shelled, coat 1", "Y-0001"]
    with registry.reading() as reading:
        assert rows[1][5] == str(reading.history(shop.started)[1][0].position)
    late = _rows(_show(call, "P-0500"), "history")[0]
    assert late[1] == "2020-05-04"
    assert late[2].startswith(year)


def test_what_is_held_is_shown_only_when_asked_for(
    call: Call, registry: Registry, shop: Shop
) -> None:
    with registry.writing() as w:
        hand = enter_party(w, "hand", private_name="Petra Lindqvist").code
    for words in ((), ("--json",)):
        assert "Petra" not in _show(call, hand, *words)
        assert "Petra Lindqvist" in _show(call, hand, *words, "--held")


def test_state_and_history_are_json_when_asked(call: Call, shop: Shop) -> None:
    value = json.loads(_show(call, "T-0102", "--json"))
    assert value["code"] == shop.numbered
    assert value["state"]["number"] == "3/8"
    kinds = [entry["kind"] for entry in value["history"]]
    assert kinds[:2] == ["piece_started", "number_given"]
    assert len(value["history"][0]["leaf"]) == 64


@pytest.mark.parametrize(
    "code", ["P-0999", "ZZZZ", "", "0123456789a", "x" * 5000, "\x1b[2J", "T-010\u202e1"]
)
def test_what_is_in_no_book_is_said_in_two_lines(call: Call, code: str) -> None:
    result = call("show", code)
    assert result.exit_code in {2, 4}
    assert result.stdout == ""
    assert len(result.stderr.splitlines()) == 2
    assert "\x1b" not in result.stderr


def test_an_unknown_code_gets_the_nearest(call: Call) -> None:
    assert "T-0101" in call("show", "T-0110").stderr


def test_on_a_terminal_names_are_aligned_and_empty_columns_left_out(
    at_terminal: Callable[..., Shown], shop: Shop
) -> None:
    shown = at_terminal("show", "T-0102")
    plain = shown.text.replace("\x1b[1m", "").replace("\x1b[2m", "").replace("\x1b[0m", "")
    lines = plain.splitlines()
    assert lines[0] == f"{shop.numbered}  Heron, standing, 3/8"
    assert lines[2].index("3/8") == lines[3].index("T-0102") == lines[4].index(shop.run)
    heading = lines[lines.index("history") + 1]
    assert "recorded" not in heading
    assert "sections" in lines


def test_a_title_with_brackets_is_a_title_not_markup(
    at_terminal: Callable[..., Shown], registry: Registry, shop: Shop
) -> None:
    title = "[bold]Heron[/bold] [red"
    builders.a_work(registry, shop.artist, title)
    assert title in at_terminal("show", shop.artist).text
    assert title in at_terminal("find", "heron", "[red").text
