"""Reaching a site or a mirror: a published folder, or one http(s) address and no other.

Only the address that was named is contacted: a redirect to another host is refused, and so is an
answer that is too large or too slow.  Nothing is sent but the paths of public files.

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
from collections.abc import Callable
from pathlib import Path
from urllib.error import HTTPError, URLError
from urllib.parse import urlsplit
from urllib.request import HTTPRedirectHandler, ProxyHandler, Request, build_opener

from editions.errors import FileUnusable, MachineRefused, NotKnown

Fetch = Callable[[str], bytes]

LARGEST = 1 << 24
SECONDS = 10.0
_PATH = re.compile(r"[A-Za-z0-9][A-Za-z0-9./]{0,100}", re.ASCII)


def reach(place: str) -> Fetch:
    """What fetches public files of a site by their path.

    Raises:
        FileUnusable: If the place is neither a folder nor a web address.
    """
    parts = urlsplit(place)
    if parts.scheme in ("http", "https") and parts.netloc and not parts.username:
        address = f"{parts.scheme}://{parts.netloc}{parts.path.rstrip('/')}"
        return lambda path: _from_address(address, _plain(path))
    folder = Path(place)
    if folder.is_dir():
        return lambda path: _from_folder(folder, _plain(path))
    raise FileUnusable(
        f"{place} is neither a folder nor a web address.",
        "Name the folder of a published site, or its address: https://HOST.",
    )


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
        raise NotKnown(f"{folder} holds no {path}.") from None
    except OSError as fault:
        raise MachineRefused(f"{place} cannot be read: {fault.strerror}.") from None


def _from_address(address: str, path: str) -> bytes:
    asked = Request(f"{address}/{path}", headers={"User-Agent": "bronzebook"})  # noqa: S310 - http(s) alone
    try:
        with build_opener(_SameHost, ProxyHandler()).open(asked, timeout=SECONDS) as answer:
            return _bounded(path, answer.read(LARGEST + 1))
    except HTTPError as fault:
        fault.close()
        if fault.code in (404, 410):
            raise NotKnown(f"{address} has no {path}.") from None
        raise FileUnusable(f"{address}/{path} answers {fault.code}.") from None
    except (URLError, OSError, http.client.HTTPException, ValueError) as fault:
        reason = getattr(fault, "reason", None) or type(fault).__name__
        raise FileUnusable(f"{address} cannot be reached: {reason}.", "Try again later.") from None


class _SameHost(HTTPRedirectHandler):
    """Follows a redirect on the same host only."""

    def redirect_request(
        self, req: Request, fp: object, code: int, msg: str, headers: object, newurl: str
    ) -> Request | None:
        """The next request, or a refusal."""
        if urlsplit(newurl).netloc != urlsplit(req.full_url).netloc:
            raise URLError(f"it leads to another host, {urlsplit(newurl).netloc}")
        return super().redirect_request(req, fp, code, msg, headers, newurl)  # type: ignore[arg-type]


def _bounded(path: str, data: bytes) -> bytes:
    if len(data) > LARGEST:
        raise FileUnusable(f"{path} is larger than {LARGEST} bytes.")
    return data
