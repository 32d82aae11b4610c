"""What every test may ask for: databases, a browser, a clock, a random source.

``store_url`` and ``ready_url`` run a test twice, on SQLite and on PostgreSQL; the server comes with
the test extras, one for each worker, started when first asked for.
"""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest
from hypothesis import settings
from selenium.webdriver import Chrome

# First, before anything of the product is loaded.
from tests.covering import covering  # isort: skip
from tests.campaign.tally import CAMPAIGN, Tally
from tests.helpers import browser as chromium
from tests.helpers import memory, network
from tests.helpers.chance import Chance
from tests.helpers.clock import Clock
from tests.helpers.patterns import Patterns
from tests.helpers.postgresql import Server
from tests.helpers.stores import PostgreSQLStores, SQLiteStores, Stores

# A shared machine stalls now and then; how long an example takes says nothing of what it shows.
settings.register_profile("bronzebook", deadline=None)
settings.load_profile("bronzebook")

BOTH = ["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)]


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--full-campaign",
        action="store_true",
        help="tamper with each table apart and with many whole databases: some minutes",
    )
    parser.addoption(
        "--on-postgresql",
        action="store_true",
        help="run on PostgreSQL what runs on one database alone: acts, commands, certificates",
    )


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """With ``--on-postgresql``, leave out what only a registry in a file has."""
    if config.getoption("--on-postgresql"):
        items[:] = [item for item in items if not item.get_closest_marker("sqlite")]


def pytest_configure(config: pytest.Config) -> None:
    network.guard()
    memory.use()
    if covering is not None:
        config.pluginmanager.register(covering, "covering")


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Print the table of the tamper campaign, whichever workers its parts ran in."""
    tally = Tally()
    for report in terminalreporter.getreports("passed") + terminalreporter.getreports("failed"):
        for name, rows in report.user_properties:
            if name == CAMPAIGN:
                tally.take(rows)
    if tally.rows:
        terminalreporter.section("who found what of a book that was tampered with")
        terminalreporter.write_line(str(tally))


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """Share the whole suite among the processors; a chosen file is run here and now.

    One worker more than processors: much of the time is spent waiting for a browser or a database.
    """
    if config.args_source is not pytest.Config.ArgsSource.TESTPATHS:
        return 0
    return min((os.cpu_count() or 1) + 1, 4)


@pytest.fixture(autouse=True)
def _no_network() -> Iterator[None]:
    network.refusals.clear()
    yield
    assert not network.refusals, f"the test reached outside this machine: {network.refusals}"


@pytest.fixture
def clock() -> Clock:
    """A clock that ticks one second at each reading."""
    return Clock()


@pytest.fixture
def chance() -> Chance:
    """A random source that gives the same bytes in every run."""
    return Chance()


@pytest.fixture(scope="session")
def postgresql_server() -> Iterator[Server]:
    """The worker's own PostgreSQL."""
    server = Server()
    server.start()
    yield server
    server.stop()


@pytest.fixture(scope="session")
def _postgresql_stores(postgresql_server: Server) -> PostgreSQLStores:
    return PostgreSQLStores(postgresql_server)


@pytest.fixture(scope="session")
def _sqlite_stores(tmp_path_factory: pytest.TempPathFactory) -> SQLiteStores:
    return SQLiteStores(tmp_path_factory.mktemp("stores"))


@pytest.fixture(params=BOTH)
def stores(request: pytest.FixtureRequest) -> Iterator[Stores]:
    """A maker of databases, on SQLite and then on PostgreSQL; what it made goes with the test."""
    maker: Stores = request.getfixturevalue(f"_{request.param}_stores")
    yield maker
    maker.clear()


@pytest.fixture(scope="session")
def _plain_stores(request: pytest.FixtureRequest) -> Stores:
    kind = "postgresql" if request.config.getoption("--on-postgresql") else "sqlite"
    stores: Stores = request.getfixturevalue(f"_{kind}_stores")
    return stores


@pytest.fixture
def plain_stores(_plain_stores: Stores) -> Iterator[Stores]:
    """A maker of databases for what needs only one kind: SQLite, unless PostgreSQL is asked for."""
    yield _plain_stores
    _plain_stores.clear()


@pytest.fixture
def postgresql_stores(_postgresql_stores: PostgreSQLStores) -> Iterator[PostgreSQLStores]:
    """A maker of PostgreSQL databases alone."""
    yield _postgresql_stores
    _postgresql_stores.clear()


@pytest.fixture(scope="session")
def patterns(tmp_path_factory: pytest.TempPathFactory) -> Patterns:
    """Registries made once and copied, so that no test begins its own without need."""
    return Patterns(tmp_path_factory.mktemp("patterns"))


@pytest.fixture
def store_url(stores: Stores) -> str:
    """A path or a URL where no registry is yet, on each kind of database."""
    return stores.fresh()


@pytest.fixture
def ready_url(stores: Stores) -> str:
    """A path or a URL of a database with every table and no row, on each kind of database."""
    return stores.ready()


@pytest.fixture(scope="session")
def _chromium(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Chrome]:
    lacking = chromium.missing()
    if lacking and os.environ.get("BRONZEBOOK_CI"):
        pytest.fail(lacking)
    if lacking:
        pytest.skip(lacking)
    driver = chromium.launch(tmp_path_factory.mktemp("profile"))
    yield driver
    driver.quit()


@pytest.fixture
def browser(_chromium: Chrome) -> Chrome:
    """A headless Chromium with one empty window, 1280 by 900; skipped where there is none."""
    return chromium.cleared(_chromium)
