"""The database itself refuses to change or remove a line of the audit log, on SQLite and PostgreSQL."""

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError
from tests.making import START

from benchtrail.services.records import AuditEntry, Dealer
from benchtrail.storage.database import SqlStorage


@pytest.mark.parametrize("statement", ["UPDATE audit_log SET act = 'nothing'", "DELETE FROM audit_log"])
def test_a_line_stays_as_it_was_written(sql_storage: SqlStorage, statement: str) -> None:
    line = AuditEntry("d", 1, START, "olive", "signed_in", "olive", {}, None, "ab" * 32)
    with sql_storage.writing() as unit:
        unit.dealers.add(Dealer("d", "D", False, "kid", {}, "e", START))
        unit.audit.add(line)
    with pytest.raises(DBAPIError, match="only ever added to"), sql_storage.engine.begin() as connection:
        connection.execute(text(statement))
    with sql_storage.reading() as unit:
        assert unit.audit.all("d") == [line]
        assert unit.audit.last("d") == line
