"""Reaching a site or a mirror: a published folder, or one http(s) address and no other.

Only the address that was named is contacted: a redirect to another host, or from https to http, is
refused, and so is an answer that is too large, or too slow to begin, to go on or to end.  Nothing
is sent but the paths of public files.

>>> from editions.errors import BronzebookError
>>> try:
...     reach("ftp://book.example")
... except BronzebookError as fault:
...     print(fault.message)
ftp://book.example is neither a folder nor a web address.
"""

from __future__ import annotations

import http.client
import re
import time
from collections.abc import Callable
from pathlib import Path
from typing import IO
from urllib.error import HTTPError, URLError
from urllib.parse import urlsplit
from urllib.request import HTTPRedirectHandler, ProxyHandler, Request, build_opener

from editions.errors import FileUnusable, MachineRefused, NotKnown

Fetch = Callable[[str], bytes]

LARGEST = 1 << 24
SECONDS = 10.0  # of silence
ALTOGETHER = 60.0

_AT_ONCE = 1 << 16
_PATH = re.compile(r"[A-Za-z0-9][A-Za-z0-9./]{0,100}", re.ASCII)


def reach(place: str) -> Fetch:
    """What fetches public files of a site by their path.

    Raises:
        FileUnusable: If the place is neither a folder nor a web address.
    """
    address = _address(place)
    if address:
        return lambda path: _from_address(address, _plain(path))
    folder = Path(place)
    if folder.is_dir():
        return lambda path: _from_folder(folder, _plain(path))
    raise FileUnusable(
        f"{place} is neither a folder nor a web address.",
        "Name the folder of a published site, or its address: https://HOST.",
    )


def _address(place: str) -> str:
    """The web address, without a slash at its end; empty where it is none that is taken."""
    try:
        parts = urlsplit(place)
    except ValueError:
        return ""
    if parts.scheme not in ("http", "https") or not parts.netloc or parts.username:
        return ""
    return f"{parts.scheme}://{parts.netloc}{parts.path.rstrip('/')}"


def _plain(path: str) -> str:
    if not _PATH.fullmatch(path) or ".." in path:
        raise NotKnown(f"{path!r} is not the path of a public file.")
    return path


def _from_folder(folder: Path, path: str) -> bytes:
    place = folder / path
    try:
        with place.open("rb") as file:
            return _bounded(path, file.read(LARGEST + 1))
    except (FileNotFoundError, NotADirectoryError, IsADirectoryError):
        raise NotKnown(f"{folder} holds no {path}.", "Check the folder.") from None
    except OSError as fault:
        raise MachineRefused(f"{place} cannot be read: {fault.strerror}.") from None


def _from_address(address: str, path: str) -> bytes:
    asked = Request(f"{address}/{path}", headers={"User-Agent": "bronzebook"})  # noqa: S310 - http(s) alone
    try:
        with build_opener(_SameHost, ProxyHandler()).open(asked, timeout=SECONDS) as answer:
            return _bounded(path, _in_time(answer))
    except HTTPError as fault:
        fault.close()
        if fault.code in (404, 410):
            raise NotKnown(f"{address} has no {path}.", "Check the address.") from None
        raise FileUnusable(f"{address}/{path} answers {fault.code}.") from None
    except (URLError, OSError, http.client.HTTPException, ValueError) as fault:
        raise FileUnusable(
            f"{address} cannot be reached: {_reason(fault)}.", "Try again later."
        ) from None


def _reason(fault: Exception) -> str:
    """Why a host cannot be reached, in the words of the operating system where it has some."""
    reason = getattr(fault, "reason", None) or fault
    said = getattr(reason, "strerror", None) or (reason if isinstance(reason, str) else "")
    return str(said) or type(reason).__name__


def _in_time(answer: http.client.HTTPResponse) -> bytes:
    """What a host answers; one that sends a little now and then is not waited for."""
    until, parts, length = time.monotonic() + ALTOGETHER, list[bytes](), 0
    while length <= LARGEST and (part := answer.read1(_AT_ONCE)):
        parts.append(part)
        length += len(part)
        if time.monotonic() > until:
            raise URLError("it answers too slowly")
    # A body that ends before its length is cut off, which read1 itself does not say.
    if length <= LARGEST and answer.length:
        raise http.client.IncompleteRead(b"", answer.length)
    return b"".join(parts)


class _SameHost(HTTPRedirectHandler):
    """Follows a redirect on the same host only."""

    def redirect_request(
        self, req: Request, fp: IO[bytes], code: int, msg: str, headers: object, newurl: str
    ) -> Request | None:
        """The next request, or a refusal."""
        old, new = urlsplit(req.full_url), urlsplit(newurl)
        refusal = ""
        if new.netloc != old.netloc:
            refusal = f"it leads to another host, {new.netloc}"
        elif old.scheme == "https" and new.scheme != "https":
            refusal = "it leads from https to http"
        if refusal:
            fp.close()
            raise URLError(refusal)
        return super().redirect_request(req, fp, code, msg, headers, newurl)  # type: ignore[arg-type]


def _bounded(path: str, data: bytes) -> bytes:
    if len(data) > LARGEST:
        raise FileUnusable(f"{path} is larger than {LARGEST} bytes.")
    return data
