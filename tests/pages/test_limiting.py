"""How often one visitor may look up a number."""

from __future__ import annotations

import pytest
from flask.testing import FlaskClient

from editions.pages.limiting import Limit, visitor_of
from editions.pages.remembering import Memory
from editions.pages.serve import create_app, listen
from editions.registry import Registry


def client(registry: Registry, burst: int = 2) -> FlaskClient:
    return create_app(registry, limit=Limit(burst=burst, rate=0.001)).test_client()


def test_who_asks_too_often_is_told_to_wait(book: Registry, number: str) -> None:
    visitor = client(book)
    assert [visitor.get(f"/C/{number}").status_code for _ in range(3)] == [200, 200, 429]
    answer = visitor.get("/C/0123456789A")
    assert answer.status_code in (404, 429)
    assert int(visitor.get(f"/C/{number}").headers["Retry-After"]) > 0


def test_what_is_no_look_up_is_not_counted(book: Registry, number: str) -> None:
    visitor = client(book)
    for path in ("/", "/keys.txt", "/checkpoint", f"/C/{number.lower()}", "/nothing") * 2:
        assert visitor.get(path).status_code != 429
    assert visitor.get(f"/C/{number}").status_code == 200


def test_numbers_that_nobody_issued_are_counted_too(book: Registry, number: str) -> None:
    visitor = client(book, burst=1)
    assert visitor.get("/C/7DD6ZS4GDM6").status_code in (200, 404)
    assert visitor.get(f"/C/{number}").status_code == 429


def test_an_address_forwarded_is_not_believed_unasked(book: Registry, number: str) -> None:
    visitor = client(book, burst=1)
    visitor.get(f"/C/{number}", headers={"X-Forwarded-For": "192.0.2.1"})
    answer = visitor.get(f"/C/{number}", headers={"X-Forwarded-For": "192.0.2.2"})
    assert answer.status_code == 429


@pytest.mark.parametrize("proxy", [None, "127.0.0.1"])
def test_an_address_forwarded_is_believed_from_the_proxy_that_was_named(
    book: Registry, proxy: str | None
) -> None:
    server = listen(book, "127.0.0.1", 0, proxy=proxy)
    assert server.adj.trusted_proxy == proxy
    assert server.adj.clear_untrusted_proxy_headers
    server.close()


def test_a_bucket_fills_with_time_and_no_further() -> None:
    limit = Limit(burst=2, rate=1.0)
    assert [limit.wait("192.0.2.7", at) for at in (0.0, 0.0, 0.0, 1.0, 1.0)] == [0, 0, 1, 0, 1]
    assert [limit.wait("192.0.2.7", at) for at in (900.0, 900.0, 900.0)] == [0, 0, 1]


def test_the_table_of_visitors_stays_small() -> None:
    limit = Limit(most_visitors=10)
    for at in range(1000):
        limit.wait(f"192.0.2.{at % 250}", float(at))
    assert len(limit._left) == 10


# RFC 4291: the first 64 bits of a unicast IPv6 address are its network; 2.5.5.2: mapped addresses.
@pytest.mark.parametrize(
    ("address", "visitor"),
    [
        ("192.0.2.7", "192.0.2.7"),
        ("2001:db8:1:2:3:4:5:6", "2001:db8:1:2::/64"),
        ("2001:db8:1:2:ffff::1", "2001:db8:1:2::/64"),
        ("fe80::1%eth0", "fe80::/64"),
        ("::ffff:192.0.2.7", "192.0.2.7"),
        ("", ""),
        ("no address " * 20, ("no address " * 20)[:64]),
    ],
)
def test_a_visitor_is_an_address_or_the_network_that_one_has(address: str, visitor: str) -> None:
    assert visitor_of(address) == visitor


@pytest.mark.parametrize("path", ["/", "/C/{}", "/keys.txt", "/checkpoint", "/icon.svg"])
def test_who_has_an_answer_already_is_told_so(book: Registry, number: str, path: str) -> None:
    visitor = create_app(book).test_client()
    first = visitor.get(path.format(number))
    tag = first.headers["ETag"]
    again = visitor.get(path.format(number), headers={"If-None-Match": tag})
    assert (again.status_code, again.data) == (304, b"")
    assert again.headers["ETag"] == tag
    other = visitor.get(path.format(number), headers={"If-None-Match": '"another"'})
    assert (other.status_code, other.data) == (200, first.data)


def test_memory_is_bounded(book: Registry) -> None:
    from editions.pages.addresses import Address

    memory, made = Memory(most=250), list[str]()
    address = Address("/x/{}", lambda *_: b"")

    def make(name: str) -> bytes:
        made.append(name)
        return bytes(100)

    for name in ("a", "b", "a", "c", "a", "b"):
        memory.of(address, name, book, lambda name=name: make(name))  # type: ignore[misc]
    assert made == ["a", "b", "c", "b"]


def test_an_answer_holds_for_ten_seconds_and_for_its_day(book: Registry, number: str) -> None:
    visitor = create_app(book).test_client()
    path = book.home.certificates / f"{number}.pdf"
    first = visitor.get(f"/C/{number}").data
    path.rename(path.with_suffix(".gone"))
    assert visitor.get(f"/C/{number}").data == first
    book.clock.wind(hours=1)  # type: ignore[attr-defined]
    assert visitor.get(f"/C/{number}").data != first
