"""A dealership as one file: a zip whose list of contents names every member with its hash and is signed by the dealer.

Knows the form of the file (shared/README.md §12), how it is written and how it is opened; not what the rows mean.
"""

import hashlib
import json
import zipfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import IO, Any

import rfc8785

from benchtrail.domain.refused import Refused
from benchtrail.services.dealers import SLUG
from benchtrail.services.ports import Room, Signer
from benchtrail.services.records import JsonObject

FORMAT = "benchtrail.dealer/1"
CONTENTS, SEAL = "contents.json", "seal.json"
MOST_CONTENTS = 64 * 1024 * 1024
MOST_MEMBER = 512 * 1024 * 1024
MOST_ALL = 64 * 1024 * 1024 * 1024
LONG_AGO = (1980, 1, 1, 0, 0, 0)  # a zip's earliest date: the same content makes the same file
ENDINGS = {"image/jpeg": "jpg", "image/png": "png", "image/webp": "webp", "image/svg+xml": "svg", "image/gif": "gif"}
PACKED = (".jpg", ".png", ".webp", ".gif")


def file_name(room: Room, name: str, mime: str = "") -> str:
    """Where a kept file stands in the zip."""
    ending = {"packs": "json", "texts": "yaml", "quarantine": "bin"}.get(room) or ENDINGS.get(mime, "bin")
    return f"{room}/{name}.{ending}"


def rows_name(table: str) -> str:
    """Where the rows of a table stand in the zip."""
    return f"records/{table}.jsonl"


class DealerFileWriter:
    """Writes members one by one, and at the end the signed list of them."""

    def __init__(self, out: IO[bytes]) -> None:
        self._zip = zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, allowZip64=True)
        self._files: dict[str, JsonObject] = {}

    def add(self, name: str, content: bytes) -> None:
        """Adds a member; one that is there already stays as it is."""
        if name not in self._files:
            self._put(name, content)
            self._files[name] = {"sha256": hashlib.sha256(content).hexdigest(), "bytes": len(content)}

    def add_lines(self, name: str, lines: Iterator[bytes]) -> int:
        """Adds a member line by line; answers how many."""
        hashed, size, count = hashlib.sha256(), 0, 0
        with self._zip.open(_info(name), "w", force_zip64=True) as member:
            for line in lines:
                member.write(line)
                hashed.update(line)
                size, count = size + len(line), count + 1
        self._files[name] = {"sha256": hashed.hexdigest(), "bytes": size}
        return count

    def close(self, facts: JsonObject, signer: Signer) -> int:
        """Writes the list and its seal; answers how many members the list names."""
        contents = rfc8785.dumps({"format": FORMAT, **facts, "files": self._files})
        self._put(CONTENTS, contents)
        self._put(SEAL, rfc8785.dumps({"kid": signer.kid, "signature": signer.sign(contents)}))
        self._zip.close()
        return len(self._files)

    def _put(self, name: str, content: bytes) -> None:
        with self._zip.open(_info(name), "w") as member:
            member.write(content)


def _info(name: str) -> zipfile.ZipInfo:
    info = zipfile.ZipInfo(name, LONG_AGO)
    info.compress_type = zipfile.ZIP_STORED if name.endswith(PACKED) else zipfile.ZIP_DEFLATED
    info.external_attr = 0o600 << 16
    return info


@dataclass
class DealerFile:
    """A file that was opened: its list of contents is of the form that we write, and every member is in it, once.

    What the members hold is not proven by that: `content` and `rows` hold each one to its hash when it is read.
    """

    _zip: zipfile.ZipFile
    contents: JsonObject
    contents_bytes: bytes
    seal: JsonObject

    @property
    def dealer(self) -> JsonObject:
        return dict(self.contents["dealer"])

    @property
    def files(self) -> dict[str, JsonObject]:
        return dict(self.contents["files"])

    def content(self, name: str) -> bytes:
        """A member whole. Raises Refused: dealer_file_changed, dealer_file_unreadable."""
        said = self.contents["files"].get(name)
        try:
            if said is None or self._zip.getinfo(name).file_size != said["bytes"]:
                raise Refused("dealer_file_changed", name=name)
            found = self._zip.read(name)
        except (zipfile.BadZipFile, KeyError, OSError, EOFError, NotImplementedError, ValueError) as error:
            raise Refused("dealer_file_changed", name=name) from error
        if hashlib.sha256(found).hexdigest() != said["sha256"]:
            raise Refused("dealer_file_changed", name=name)
        return found

    def rows(self, table: str) -> Iterator[JsonObject]:
        """The rows of a table, none when the file has no such table. Raises as `content`."""
        name = rows_name(table)
        if name not in self.contents["files"]:
            return
        for number, line in enumerate(self.content(name).splitlines(), 1):
            try:
                row = json.loads(line)
            except (ValueError, RecursionError) as error:
                raise Refused("dealer_file_row", table=table, number=number) from error
            if not isinstance(row, dict):
                raise Refused("dealer_file_row", table=table, number=number)
            yield row


def open_dealer_file(source: IO[bytes]) -> DealerFile:
    """Opens the file. Raises Refused: dealer_file_unreadable, dealer_file_changed, dealer_file_too_large."""
    try:
        opened = zipfile.ZipFile(source)
        infos = opened.infolist()
        if any(info.file_size > MOST_MEMBER for info in infos) or sum(info.file_size for info in infos) > MOST_ALL:
            raise Refused("dealer_file_too_large", most_mb=MOST_MEMBER // 1024 // 1024)
        if opened.getinfo(CONTENTS).file_size > MOST_CONTENTS:
            raise ValueError("its list of contents is too long")
        content = opened.read(CONTENTS)
        contents, seal = json.loads(content), json.loads(opened.read(SEAL))
        _check_form(contents, seal)
    except (zipfile.BadZipFile, OSError, EOFError, KeyError, TypeError, ValueError, RecursionError, NotImplementedError) as error:
        raise Refused("dealer_file_unreadable", reason=_reason(error)) from error
    names = Counter(info.filename for info in infos)
    wanted = {*contents["files"], CONTENTS, SEAL}
    strange = sorted(wanted ^ set(names)) or sorted(name for name, count in names.items() if count > 1)
    if strange:
        raise Refused("dealer_file_changed", name=strange[0][:200])
    return DealerFile(opened, contents, content, seal)


def _check_form(contents: Any, seal: Any) -> None:
    if contents["format"] != FORMAT:
        raise ValueError(f"it is not of the form {FORMAT}")
    dealer = contents["dealer"]
    texts = [dealer["slug"], dealer["name"], dealer["kid"], seal["kid"], seal["signature"], contents["made_at"],
             *(dealer["jwk"][part] for part in ("kty", "crv", "x", "y"))]
    whole = all(isinstance(one, str) for one in texts) and SLUG.fullmatch(dealer["slug"]) is not None and isinstance(contents["rows"], dict)
    whole = whole and all(isinstance(one, str) for one in contents["missing"])
    for said in contents["files"].values():
        whole = whole and isinstance(said["sha256"], str) and isinstance(said["bytes"], int)
    if not whole:
        raise ValueError("its list of contents has another form")


def _reason(error: BaseException) -> str:
    if isinstance(error, KeyError):
        return "it has no list of contents, or not a whole one"
    return str(error) or type(error).__name__
