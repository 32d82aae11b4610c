"""Tests of where a registry lies, and of places where it may not."""

from __future__ import annotations

from pathlib import Path

import pytest

from editions.errors import MachineRefused, RegistryUnusable
from editions.registry import open_registry, opening
from editions.registry.homes import home_of, refuse_network_share
from tests.registry import builders

# The form is that of proc(5): device, mount point, type, options, two numbers.
MOUNTS = """\
/dev/vda1 / ext4 rw,relatime 0 0
proc /proc proc rw 0 0
nas:/foundry /srv/books nfs4 rw,vers=4.2 0 0
/dev/vdb1 /srv/books/local ext4 rw 0 0
//office/share /mnt/office\\040share cifs rw 0 0
me@host: /home/me/far fuse.sshfs rw 0 0
C:\\134 /mnt/c 9p rw 0 0
"""


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("/srv/books/registry.db", "nfs4"),
        ("/srv/books/one/two/registry.db", "nfs4"),
        ("/mnt/office share/registry.db", "cifs"),
        ("/home/me/far/registry.db", "fuse.sshfs"),
        ("/mnt/c/registry.db", "9p"),
    ],
)
def test_a_registry_on_a_network_share_is_refused(path: str, kind: str) -> None:
    with pytest.raises(MachineRefused) as refused:
        refuse_network_share(Path(path), MOUNTS)
    assert refused.value.message.startswith(f"{path} lies on a network share ({kind})")
    assert "PostgreSQL" in refused.value.remedy
    assert refused.value.exit_status == 10


@pytest.mark.parametrize(
    "path",
    [
        "/home/me/registry.db",
        "/home/me/farther/registry.db",
        "/srv/books/local/registry.db",
        "/srv/bookshelf/registry.db",
        "/mnt/office/registry.db",
    ],
)
def test_a_folder_of_this_machine_is_not_taken_for_a_share(path: str) -> None:
    refuse_network_share(Path(path), MOUNTS)
    refuse_network_share(Path(path), "")
    refuse_network_share(Path(path), "one\nodd line\n\n")


def test_this_machine_s_own_table_is_read(tmp_path: Path) -> None:
    refuse_network_share(tmp_path / "registry.db")


def test_neither_beginning_nor_opening_works_on_a_share(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    builders.a_registry(tmp_path / "here").close()

    def share(path: Path) -> None:
        refuse_network_share(path, f"nas:/x {tmp_path} nfs rw 0 0\n")

    monkeypatch.setattr(opening, "refuse_network_share", share)
    with pytest.raises(MachineRefused, match="network share"):
        builders.a_registry(tmp_path / "there")
    with pytest.raises(MachineRefused, match="network share"):
        open_registry(tmp_path / "here")
    assert not (tmp_path / "there").exists()


@pytest.mark.parametrize("name", ["book", "what?", "50 % of it", "a#b", "foundry é", "q'uote;"])
def test_a_folder_of_any_name_holds_a_registry(tmp_path: Path, name: str) -> None:
    builders.a_registry(tmp_path / name).close()
    opened = open_registry(tmp_path / name)
    assert builders.state(opened, "Y-0001").name == builders.FOUNDRY
    opened.close()
    assert (tmp_path / name / "registry.db").is_file()
    with pytest.raises(RegistryUnusable, match="is there already"):
        builders.a_registry(tmp_path / name)


def test_a_registry_is_named_by_folder_file_or_url(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    by_folder, by_file = home_of(tmp_path), home_of(str(tmp_path / "other.db"))
    assert by_folder.database == str(tmp_path / "registry.db")
    assert (by_file.database, by_file.folder) == (str(tmp_path / "other.db"), tmp_path)
    assert home_of(tmp_path, tmp_path / "files").folder == tmp_path / "files"
    monkeypatch.setenv("BRONZEBOOK_HOME", str(tmp_path))
    by_url = home_of("postgresql://db.example/book")
    assert (by_url.folder, by_url.database) == (tmp_path, "postgresql://db.example/book")
    assert by_url.certificates == tmp_path / "certificates"
