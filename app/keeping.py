"""Keeping a shop: backup and restore of everything in its folder."""

from __future__ import annotations

import hashlib
import json
import os
import re
import secrets
import shutil
import zipfile
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.ledger.ledger import Ledger
from app.links import KEY_FILE
from app.people.guard import Actor, require, require_in_folder
from app.people.roles import Action
from app.shop_settings import (
    CATALOGS,
    COLUMNS_FILE,
    LEDGER_FILE,
    SETTINGS_FILE,
    shop_settings,
)
from app.version import program_version
from estimator.errors import InputTrouble, LedgerTrouble

if TYPE_CHECKING:
    from app.shop import Shop

MANIFEST = "manifest.json"
FORMAT = 1
_POINTER = f"{CATALOGS}/current.json"
_NAME = re.compile(
    rf"{MANIFEST}|{re.escape(LEDGER_FILE)}|{re.escape(SETTINGS_FILE)}|{re.escape(KEY_FILE)}"
    rf"|{re.escape(COLUMNS_FILE)}|{CATALOGS}/[A-Za-z0-9_.-]+"
)
_COPY_BYTES = 1 << 20


@dataclass(frozen=True)
class Restored:
    """What a restore brought back, and where what was there before is now, if it was."""

    made_at: str
    files: tuple[str, ...]
    put_aside: Path | None


def back_up(shop: Shop, actor: Actor, archive: Path, at: datetime) -> dict[str, Any]:
    """Write everything of a shop into one archive, while it is in use.

    Parameters
    ----------
    shop
        The shop.
    actor
        Who asks.
    archive
        The file to write; it must not be there yet. Only this user may read it, for it holds
        the customers' data, the hashes of passwords and the key of the links.
    at
        Now, with its zone.

    Returns
    -------
    The manifest: each file with its size and SHA-256.

    Raises
    ------
    Trouble
        If it is not the actor's to do, the file is there, or it cannot be written.
    """
    require(shop, actor, Action.BACK_UP, at)
    if archive.exists():
        raise InputTrouble("There is a file already", str(archive), "Give another name.")
    unfinished = archive.with_name(f".{archive.name}.{secrets.token_hex(4)}.tmp")
    copied = unfinished.with_suffix(".ledger")
    try:
        shop.ledger.back_up(copied)
        manifest = _write_archive(shop.folder, copied, unfinished, at)
        unfinished.chmod(0o600)
        unfinished.replace(archive)
    except OSError as refused:
        raise _cannot("written", archive, refused) from None
    finally:
        unfinished.unlink(missing_ok=True)
        copied.unlink(missing_ok=True)
    detail = {"files": len(manifest["files"])}
    shop.ledger.journal.note(at, actor.name, "back up", "", detail)
    return manifest


def restore(
    folder: Path, actor: Actor, archive: Path, at: datetime, *, replace: bool = False
) -> Restored:
    """Bring a shop back from an archive that `back_up` wrote.

    Parameters
    ----------
    folder
        The shop's folder. A `shop.toml` that is there already holds, and not the archive's:
        where it names an address, the ledger goes there, into an empty database.
    actor
        Who asks.
    archive
        The archive.
    at
        Now, with its zone.
    replace
        Whether a shop that is there is put aside, beside the new one; nothing is taken away.

    Returns
    -------
    What was brought back.

    Raises
    ------
    Trouble
        If a shop is there and `replace` is not set, it is in use, or the archive is not
        whole: every file and the ledger's chains are checked before anything is moved.
    """
    require_in_folder(folder, actor, Action.RESTORE, at)
    there = [folder / name for name in (LEDGER_FILE, CATALOGS) if (folder / name).exists()]
    if there and not replace:
        raise LedgerTrouble(
            "There is a shop already", str(folder), "Give --replace to put it aside first."
        )
    _refuse_in_use(folder / LEDGER_FILE)
    staged = folder / f".restore-{secrets.token_hex(4)}"
    try:
        staged.mkdir(parents=True)
        manifest = _unpack(archive, staged)
        _check_ledger(staged / LEDGER_FILE)
        if (folder / SETTINGS_FILE).exists():
            shutil.copyfile(folder / SETTINGS_FILE, staged / SETTINGS_FILE)
        settings = shop_settings(staged)
        if settings.ledger_url is not None:
            _into_address(staged / LEDGER_FILE, settings.ledger_url)
        aside = _put_aside(folder, at) if there else None
        for each in sorted(staged.iterdir()):
            each.replace(folder / each.name)
    except OSError as refused:
        raise _cannot("restored", archive, refused) from None
    finally:
        shutil.rmtree(staged, ignore_errors=True)
    url = settings.ledger_url or f"sqlite:///{folder / LEDGER_FILE}"
    with Ledger.open(url, create=False, copies=folder) as ledger:
        ledger.journal.note(at, actor.name, "restore", "", {"made_at": manifest["made_at"]})
    return Restored(manifest["made_at"], tuple(manifest["files"]), aside)


def in_use(ledger_file: Path) -> bool:
    """Return whether another program has an SQLite ledger open.

    Parameters
    ----------
    ledger_file
        The file.
    """
    import sqlite3  # noqa: PLC0415 - this question is one of SQLite's own locks

    if not ledger_file.exists():
        return False
    asking = sqlite3.connect(ledger_file, timeout=0.5)
    try:
        # Leaving the write-ahead log is refused while any other connection is open.
        asking.execute("PRAGMA journal_mode = DELETE").fetchone()
    except sqlite3.OperationalError:
        return True
    except sqlite3.Error:
        return False  # damaged: nobody works with it, and it may be put aside
    finally:
        asking.close()
    return False


def _write_archive(folder: Path, ledger: Path, target: Path, at: datetime) -> dict[str, Any]:
    files = {LEDGER_FILE: ledger}
    for name in (SETTINGS_FILE, KEY_FILE, COLUMNS_FILE):
        if (folder / name).exists():
            files[name] = folder / name
    files |= _catalog_in_force(folder)
    manifest: dict[str, Any] = {
        "format": FORMAT,
        "made_at": at.astimezone(UTC).isoformat(timespec="seconds"),
        "program_version": program_version(),
        "files": {},
    }
    with zipfile.ZipFile(target, "w", allowZip64=True) as archive:
        target.chmod(0o600)
        for name, source in files.items():
            packed = zipfile.ZIP_STORED if name.endswith(".duckdb") else zipfile.ZIP_DEFLATED
            archive.write(source, name, packed, 1)
            size = source.stat().st_size
            manifest["files"][name] = {"bytes": size, "sha256": _sha256(source)}
        archive.writestr(MANIFEST, json.dumps(manifest, indent=1))
    return manifest


def _catalog_in_force(folder: Path) -> dict[str, Path]:
    pointer = folder / _POINTER
    if not pointer.exists():
        return {}
    try:
        version = str(json.loads(pointer.read_text(encoding="utf-8"))["version"])
    except (ValueError, KeyError, TypeError):
        return {}
    snapshot = folder / CATALOGS / f"catalog-{version}.duckdb"
    if not snapshot.exists():
        return {}
    return {_POINTER: pointer, f"{CATALOGS}/{snapshot.name}": snapshot}


def _unpack(archive: Path, staged: Path) -> dict[str, Any]:
    try:
        with zipfile.ZipFile(archive) as packed:
            manifest: dict[str, Any] = json.loads(packed.read(MANIFEST))
            files = dict(manifest["files"])
            _refuse_unknown(packed.namelist(), files, archive)
            _refuse_no_room(sum(int(each["bytes"]) for each in files.values()), staged)
            for name, promised in files.items():
                target = staged / name
                target.parent.mkdir(exist_ok=True)
                with packed.open(name) as source, _new(target, name) as written:
                    _copy(source, written, int(promised["bytes"]), archive)
                if _sha256(target) != promised["sha256"]:
                    raise _not_whole(archive)
    except FileNotFoundError:
        raise InputTrouble("There is no file", str(archive), "Check the name.") from None
    except (zipfile.BadZipFile, KeyError, ValueError, TypeError, EOFError, NotImplementedError):
        raise _not_whole(archive) from None
    return manifest


def _new(target: Path, name: str) -> Any:
    """Open a new file; all but the catalog holds what only this user may read."""
    mode = 0o666 if name.startswith(f"{CATALOGS}/") else 0o600
    return os.fdopen(os.open(target, os.O_CREAT | os.O_EXCL | os.O_WRONLY, mode), "wb")


def _copy(source: Any, written: Any, most: int, archive: Path) -> None:
    done = 0
    while piece := source.read(_COPY_BYTES):
        done += len(piece)
        if done > most:
            raise _not_whole(archive)
        written.write(piece)


def _refuse_unknown(names: list[str], files: dict[str, Any], archive: Path) -> None:
    strange = [name for name in names if not _NAME.fullmatch(name)]
    if strange or set(names) != {*files, MANIFEST} or LEDGER_FILE not in files:
        raise _not_whole(archive)


def _refuse_no_room(wanted: int, folder: Path) -> None:
    free = shutil.disk_usage(folder).free
    if wanted > free:
        raise InputTrouble(
            f"There is room for {free:,} bytes and {wanted:,} are needed", str(folder), "Make room."
        )


def _check_ledger(file: Path) -> None:
    with Ledger.open(f"sqlite:///{file}", create=False) as ledger:
        problems = ledger.verify(None).problems
    for beside in file.parent.glob(f"{file.name}.tables-*.backup"):
        beside.unlink()  # the archive itself is the backup
    if problems:
        raise LedgerTrouble(
            f"The ledger in this backup has {len(problems)} problems; the first: {problems[0]}",
            str(file),
            "Take an older backup.",
        )


def _into_address(file: Path, url: str) -> None:
    with Ledger.open(f"sqlite:///{file}", create=False) as source, Ledger.open(url) as target:
        target.take_over(source)
    file.unlink()


def _refuse_in_use(ledger_file: Path) -> None:
    if in_use(ledger_file):
        raise LedgerTrouble(
            "Another program has the ledger open", str(ledger_file), "Stop it and try again."
        )


def _put_aside(folder: Path, at: datetime) -> Path:
    aside = folder / f"replaced-{at.astimezone(UTC).strftime('%Y%m%dT%H%M%SZ')}"
    aside.mkdir()
    ledger = (f"{LEDGER_FILE}-wal", f"{LEDGER_FILE}-shm", LEDGER_FILE)
    for name in (*ledger, CATALOGS, KEY_FILE, COLUMNS_FILE):
        if (folder / name).exists():
            (folder / name).replace(aside / name)
    if (folder / SETTINGS_FILE).exists():
        shutil.copyfile(folder / SETTINGS_FILE, aside / SETTINGS_FILE)
    return aside


def _sha256(path: Path) -> str:
    with path.open("rb") as opened:
        return hashlib.file_digest(opened, "sha256").hexdigest()


def _not_whole(archive: Path) -> InputTrouble:
    return InputTrouble(
        "This is no whole backup of a shop", str(archive), "Take another one; nothing was changed."
    )


def _cannot(done: str, archive: Path, refused: OSError) -> InputTrouble:
    reason = refused.strerror or type(refused).__name__
    return InputTrouble(f"The backup cannot be {done}: {reason}", str(archive), "Check the disk.")
