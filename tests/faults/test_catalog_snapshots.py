"""Snapshots that are missing, locked, damaged, half written, or were being built."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
import threading
from pathlib import Path

import duckdb
import pytest

from catalog.database import build_catalog
from catalog.parts import heater_families, part
from catalog.snapshots import Catalog
from catalog.versions import current_version, point_to, snapshot_path, versions
from estimator.errors import CatalogTrouble
from estimator.supply import PartFamily
from tests.catalog.small_catalog import SmallCatalog
from tests.faults.nobody import as_nobody, reachable_folder

SE = PartFamily.SENSING_ELEMENT
PROJECT = Path(__file__).parents[2]


def source_of(folder: Path, parts: int) -> Path:
    shelf = SmallCatalog()
    for n in range(parts):
        shelf.part(SE, f"SE-{1000 + n}")
    return shelf.write(folder)


@pytest.fixture
def catalogs(tmp_path: Path) -> Path:
    build_catalog(source_of(tmp_path / "source", 3), tmp_path / "catalogs")
    return tmp_path / "catalogs"


def test_the_same_content_gives_the_same_version(catalogs: Path, tmp_path: Path) -> None:
    again = build_catalog(source_of(tmp_path / "again", 3), catalogs)
    assert again.unchanged
    assert again.version == current_version(catalogs)
    assert len(versions(catalogs)) == 1
    assert not build_catalog(source_of(tmp_path / "more", 4), catalogs).unchanged
    assert len(versions(catalogs)) == 2


def test_no_catalog_yet(tmp_path: Path) -> None:
    with pytest.raises(CatalogTrouble) as told:
        Catalog.open_current(tmp_path / "none")
    assert str(told.value) == (
        f"There is no catalog yet in {tmp_path / 'none'}. Build one with: heater catalog build DIR."
    )


@pytest.mark.parametrize("text", ["", "{", "[]", '{"version": 7}', '{"version": "../x"}', "\x00"])
def test_a_damaged_pointer(catalogs: Path, text: str) -> None:
    (catalogs / "current.json").write_text(text, encoding="utf-8")
    with pytest.raises(CatalogTrouble, match=r"The file that names the catalog in use is damaged"):
        Catalog.open_current(catalogs)


def test_a_snapshot_that_is_gone(catalogs: Path) -> None:
    version = current_version(catalogs)
    snapshot_path(catalogs, version).unlink()
    with pytest.raises(CatalogTrouble, match=rf"The catalog of version {version} is not there in"):
        Catalog.open_current(catalogs)
    with pytest.raises(CatalogTrouble, match=r"There is no catalog of version abc in .* Kept are"):
        point_to(catalogs, "abc")


@pytest.mark.parametrize("kept", [0, 10, 5_000, 20_000])
def test_a_snapshot_cut_short(catalogs: Path, kept: int) -> None:
    path = snapshot_path(catalogs, current_version(catalogs))
    data = path.read_bytes()
    assert len(data) > kept
    path.write_bytes(data[:kept])
    with pytest.raises(CatalogTrouble, match=r"The catalog is damaged or half written in .*duckdb"):
        Catalog.open_current(catalogs)


def test_a_snapshot_of_another_content(catalogs: Path) -> None:
    path = snapshot_path(catalogs, current_version(catalogs))
    path.replace(snapshot_path(catalogs, "feed"))
    with pytest.raises(CatalogTrouble, match=r"damaged or half written"):
        Catalog.open_version(catalogs, "feed")


def test_a_snapshot_of_another_program(catalogs: Path) -> None:
    path = snapshot_path(catalogs, "beef")
    with duckdb.connect(str(path)) as connection:
        connection.execute("CREATE TABLE other (a INTEGER)")
    with pytest.raises(CatalogTrouble, match=r"damaged or half written"):
        Catalog.open_version(catalogs, "beef")


def test_bytes_turned_inside_a_snapshot_never_pass_for_data(catalogs: Path) -> None:
    path = snapshot_path(catalogs, current_version(catalogs))
    data = bytearray(path.read_bytes())
    for place in range(12_288, len(data), 997):
        data[place] ^= 0xFF
    path.write_bytes(bytes(data))
    with pytest.raises(CatalogTrouble, match=r"damaged or half written"):
        part(Catalog.open_current(catalogs), "SE-1000")


def test_a_snapshot_that_another_process_writes_to(catalogs: Path) -> None:
    path = snapshot_path(catalogs, current_version(catalogs))
    holder = subprocess.Popen(
        [
            sys.executable,
            "-c",
            "import duckdb, sys; c = duckdb.connect(sys.argv[1]); print('held', flush=True);"
            "sys.stdin.read()",
            str(path),
        ],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        assert holder.stdout is not None
        assert holder.stdout.readline() == "held\n"
        with pytest.raises(CatalogTrouble) as told:
            Catalog.open_current(catalogs)
        assert "locked by another program that writes to it" in str(told.value)
        assert "Close that program and try again." in str(told.value)
    finally:
        holder.communicate("")


BUILD_AND_DIE = """
import os, sys
from pathlib import Path
import catalog.database as database
fatal = sys.argv[3]
def die(*arguments, **named):
    os._exit(9)
if fatal == "fill":
    database._fill_parts = die
elif fatal == "replace":
    Path.replace = die
elif fatal == "point":
    database.point_to = die
database.build_catalog(Path(sys.argv[1]), Path(sys.argv[2]))
"""


@pytest.mark.parametrize("fatal", ["fill", "replace", "point"])
def test_a_build_that_is_killed_leaves_the_catalog_in_use(
    catalogs: Path, tmp_path: Path, fatal: str
) -> None:
    before = current_version(catalogs)
    more = source_of(tmp_path / "more", 5)
    died = subprocess.run(
        [sys.executable, "-c", BUILD_AND_DIE, str(more), str(catalogs), fatal],
        cwd=PROJECT,
        check=False,
        capture_output=True,
    )
    assert died.returncode == 9, died.stderr
    assert current_version(catalogs) == before
    with Catalog.open_current(catalogs) as catalog:
        assert part(catalog, "SE-1002").number == "SE-1002"
    after = build_catalog(more, catalogs)
    assert after.parts == 5
    with Catalog.open_current(catalogs) as catalog:
        assert part(catalog, "SE-1004").number == "SE-1004"


def test_a_refused_build_writes_nothing(catalogs: Path, tmp_path: Path) -> None:
    before = sorted((path.name, path.stat().st_mtime_ns) for path in catalogs.iterdir())
    more = source_of(tmp_path / "more", 5)
    (more / "stock.csv").write_text("part,place,place_kind,pieces\nSE-1000,van-1,van,many\n")
    with pytest.raises(CatalogTrouble, match=r"stock.csv row 2: pieces is \"many\""):
        build_catalog(more, catalogs)
    assert sorted((path.name, path.stat().st_mtime_ns) for path in catalogs.iterdir()) == before


def test_a_folder_that_may_not_be_written(tmp_path: Path) -> None:
    more = source_of(tmp_path / "more", 5)
    with reachable_folder() as folder:
        catalogs = folder / "catalogs"
        build_catalog(source_of(tmp_path / "source", 3), catalogs)
        before = sorted(path.name for path in catalogs.iterdir())
        catalogs.chmod(0o555)
        shutil.copytree(more, folder / "more")
        with as_nobody(), pytest.raises(CatalogTrouble, match=r"The catalog cannot be written"):
            build_catalog(folder / "more", catalogs)
        assert sorted(path.name for path in catalogs.iterdir()) == before
        catalogs.chmod(0o755)


def test_a_file_where_the_folder_should_be(tmp_path: Path) -> None:
    (tmp_path / "catalogs").write_text("in the way")
    with pytest.raises(CatalogTrouble, match=r"The catalog cannot be written \(.*\) in"):
        build_catalog(source_of(tmp_path / "source", 1), tmp_path / "catalogs")


def test_the_last_ten_are_kept_and_the_one_in_use_always(tmp_path: Path) -> None:
    catalogs = tmp_path / "catalogs"
    built = [
        build_catalog(source_of(tmp_path / f"s{n}", n + 1), catalogs).version for n in range(12)
    ]
    assert versions(catalogs) == tuple(reversed(built[2:]))
    point_to(catalogs, built[2])
    with Catalog.open_current(catalogs) as catalog:
        assert catalog.version == built[2]


def test_an_open_catalog_outlives_the_next_build(catalogs: Path, tmp_path: Path) -> None:
    with Catalog.open_current(catalogs) as before:
        build_catalog(source_of(tmp_path / "more", 5), catalogs)
        assert part(before, "SE-1000").number == "SE-1000"
        with Catalog.open_current(catalogs) as after:
            assert after.version != before.version
            assert part(after, "SE-1004").number == "SE-1004"


def test_a_catalog_is_read_only_and_reaches_no_other_file(catalogs: Path, tmp_path: Path) -> None:
    secret = tmp_path / "secret.csv"
    secret.write_text("a\n1\n")
    with Catalog.open_current(catalogs) as catalog:
        for statement in (
            "DELETE FROM part",
            f"SELECT * FROM read_csv('{secret}')",
            "SET autoload_known_extensions = true",
        ):
            with pytest.raises(duckdb.Error):
                catalog.cursor().execute(statement)


def test_a_closed_catalog_says_so(catalogs: Path) -> None:
    catalog = Catalog.open_current(catalogs)
    catalog.close()
    catalog.close()
    with pytest.raises(CatalogTrouble, match=r"The catalog is closed in .*\. Open it again\."):
        heater_families(catalog)


def test_threads_read_through_cursors_of_their_own(catalogs: Path) -> None:
    with Catalog.open_current(catalogs) as catalog:
        cursors: list[int] = []
        found: list[str] = []

        def read() -> None:
            cursors.append(id(catalog.cursor()))
            assert catalog.cursor() is catalog.cursor()
            found.extend(part(catalog, f"SE-{1000 + n % 3}").number for n in range(20))

        threads = [threading.Thread(target=read) for _ in range(6)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert len(found) == 120
        assert id(catalog.cursor()) not in cursors


def test_the_pointer_is_whole(catalogs: Path) -> None:
    assert json.loads((catalogs / "current.json").read_text()) == {
        "version": current_version(catalogs)
    }
    assert not list(catalogs.glob("*.tmp*"))


def test_opening_does_not_bring_pandas() -> None:
    code = "import sys, catalog.fit, catalog.database; print('pandas' in sys.modules)"
    ran = subprocess.run(
        [sys.executable, "-c", code], cwd=PROJECT, check=True, capture_output=True, text=True
    )
    assert ran.stdout.strip() == "False"
