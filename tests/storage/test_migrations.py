"""The migrations make exactly the tables that the code describes, on both databases."""

from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from tests.storage.conftest import open_sql

from benchtrail.storage.database import SqlStorage
from benchtrail.storage.tables import Base


def test_tables_after_migrating_are_those_of_the_code(sql_storage: SqlStorage) -> None:
    with sql_storage.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, Base.metadata) == []


def test_upgrading_again_changes_nothing(sql_storage: SqlStorage) -> None:
    before = sql_storage.revision()
    sql_storage.upgrade()
    assert sql_storage.revision() == before is not None


def test_every_table_with_customers_data_names_its_dealer_in_every_key() -> None:
    for table in Base.metadata.sorted_tables:
        if table.name in ("attempts", "dealers"):
            continue
        assert "dealer" in table.columns, table.name
        for constraint in table.foreign_key_constraints:
            if constraint.referred_table.name != "dealers":
                assert "dealer" in constraint.column_keys, f"{table.name}: {constraint.column_keys}"


def test_sqlite_is_set_to_keep_what_it_promised(tmp_path: object) -> None:
    with open_sql(f"sqlite:///{tmp_path}/test.db") as storage, storage.engine.connect() as connection:
        found = {name: connection.exec_driver_sql(f"PRAGMA {name}").scalar()
                 for name in ("journal_mode", "synchronous", "foreign_keys", "busy_timeout")}
    assert found == {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1, "busy_timeout": 10_000}
