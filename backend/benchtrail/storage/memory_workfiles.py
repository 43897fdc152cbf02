"""The in-memory twin of workfiles, their versions and pictures."""

from dataclasses import dataclass, field

from benchtrail.services.records import Workfile, WorkfileVersion, WorkPicture


@dataclass
class WorkfileTables:
    """What is kept; copied as a whole for a unit of work."""

    files: dict[tuple[str, str], Workfile] = field(default_factory=dict)
    versions: dict[tuple[str, str, int], WorkfileVersion] = field(default_factory=dict)
    pictures: dict[tuple[str, str, str], WorkPicture] = field(default_factory=dict)

    def __copy__(self) -> "WorkfileTables":
        return WorkfileTables(dict(self.files), dict(self.versions), dict(self.pictures))


class MemoryWorkfiles:
    def __init__(self, tables: WorkfileTables) -> None:
        self._in = tables

    def put(self, workfile: Workfile) -> None:
        self._in.files[workfile.dealer, workfile.id] = workfile

    def get(self, dealer: str, id: str) -> Workfile | None:
        return self._in.files.get((dealer, id))

    def all(self, dealer: str) -> list[Workfile]:
        found = sorted((one for (of, _), one in self._in.files.items() if of == dealer), key=lambda one: one.id)
        return sorted(found, key=lambda one: one.saved_at, reverse=True)

    def at(self, dealer: str, path: str) -> Workfile | None:
        return next((one for one in self.all(dealer) if one.path == path and not one.put_away), None)

    def add_version(self, version: WorkfileVersion) -> None:
        key = (version.dealer, version.workfile, version.version)
        if key in self._in.versions:
            raise ValueError("there is such a record already")
        self._in.versions[key] = version

    def version(self, dealer: str, workfile: str, version: int) -> WorkfileVersion | None:
        return self._in.versions.get((dealer, workfile, version))

    def versions(self, dealer: str, workfile: str) -> list[WorkfileVersion]:
        found = [one for (of, id, _), one in self._in.versions.items() if (of, id) == (dealer, workfile)]
        return sorted(found, key=lambda one: -one.version)

    def add_picture(self, picture: WorkPicture) -> None:
        key = (picture.dealer, picture.folder, picture.name)
        if key in self._in.pictures:
            raise ValueError("there is such a record already")
        self._in.pictures[key] = picture

    def pictures(self, dealer: str, folder: str) -> list[WorkPicture]:
        found = [one for (of, at, _), one in self._in.pictures.items() if (of, at) == (dealer, folder)]
        return sorted(found, key=lambda one: one.name)
