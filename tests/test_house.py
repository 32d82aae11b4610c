"""The house the tests live in: its databases, browser, clock, chance and closed network."""

from __future__ import annotations

import os
import socket
from datetime import UTC
from urllib.request import urlopen

import pytest
import sqlalchemy
from selenium.webdriver import Chrome

from editions.store.connection import engine_for
from tests.helpers import network
from tests.helpers.chance import Chance
from tests.helpers.clock import Clock
from tests.helpers.postgresql import Server
from tests.helpers.stores import PostgreSQLStores, Stores

# RFC 5737 and RFC 3849 keep these for documentation: no machine answers there.
OUTSIDE = ["192.0.2.1", "198.51.100.7", "2001:db8::1", "registry.example"]


@pytest.mark.parametrize("host", OUTSIDE)
def test_a_connection_to_another_machine_is_refused(host: str) -> None:
    with pytest.raises(network.NetworkForbidden):
        socket.create_connection((host, 443), timeout=1)
    assert network.refusals
    network.refusals.clear()


def test_a_refusal_swallowed_by_a_library_is_remembered() -> None:
    with pytest.raises(OSError, match="tests stay on this machine"):
        urlopen("http://192.0.2.1/")
    assert "192.0.2.1" in network.refusals[0]
    network.refusals.clear()


@pytest.mark.parametrize(
    "host", ["127.0.0.1", "127.9.9.9", "::1", "localhost", "/run/x", b"", None]
)
def test_this_machine_is_local(host: object) -> None:
    assert network.is_local(host)


def test_the_clock_ticks_one_second_a_reading_in_utc(clock: Clock) -> None:
    first, second = clock(), clock()
    assert (second - first).total_seconds() == 1
    assert first.tzinfo is UTC
    clock.wind(days=-1)
    assert clock() < first


def test_chance_repeats_itself_and_never_within_itself(chance: Chance) -> None:
    drawn = [chance(16) for _ in range(100)]
    assert len(set(drawn)) == 100
    assert drawn[:2] == [Chance()(16), drawn[1]]
    assert Chance("another")(16) != drawn[0]
    assert len(chance(0)) == 0


def _tables(where: str) -> list[str]:
    engine = engine_for(where)
    try:
        return sqlalchemy.inspect(engine).get_table_names()
    finally:
        engine.dispose()


def _make_a_table(where: str) -> None:
    engine = engine_for(where)
    with engine.begin() as connection:
        connection.exec_driver_sql("CREATE TABLE casts (code TEXT)")
    engine.dispose()


def test_a_fresh_store_is_empty(store_url: str) -> None:
    assert _tables(store_url) == []


def test_two_fresh_stores_are_two(stores: Stores) -> None:
    one, two = stores.fresh(), stores.fresh()
    _make_a_table(one)
    assert _tables(one) == ["casts"]
    assert _tables(two) == []


def test_a_ready_store_has_the_tables_of_the_migrations_and_is_its_own(stores: Stores) -> None:
    one, two = stores.ready(), stores.ready()
    assert "alembic_version" in _tables(one)
    _make_a_table(one)
    assert set(_tables(one)) - set(_tables(two)) == {"casts"}


@pytest.mark.postgresql
def test_a_store_goes_even_while_somebody_is_connected(postgresql_stores: PostgreSQLStores) -> None:
    engine = engine_for(postgresql_stores.fresh())
    held = engine.connect()
    held.exec_driver_sql("SELECT 1")
    postgresql_stores.clear()
    with pytest.raises(sqlalchemy.exc.OperationalError):
        held.exec_driver_sql("SELECT 1")
    held.invalidate()
    held.close()
    engine.dispose()


@pytest.mark.postgresql
def test_the_server_is_a_real_postgresql_and_not_run_by_root(postgresql_server: Server) -> None:
    engine = engine_for(postgresql_server.url("postgres"))
    with engine.connect() as connection:
        version = connection.exec_driver_sql("SHOW server_version_num").scalar_one()
    engine.dispose()
    assert int(version) >= 160000
    owner = postgresql_server.data.stat().st_uid
    assert owner != 0
    assert os.geteuid() in {0, owner}


@pytest.mark.browser
def test_the_browser_runs_scripts_in_a_window_of_known_width(browser: Chrome) -> None:
    browser.get("data:text/html,<p id=p></p><script>p.textContent=6*7</script>")
    assert browser.find_element("id", "p").text == "42"
    assert browser.get_window_size()["width"] == 1280
