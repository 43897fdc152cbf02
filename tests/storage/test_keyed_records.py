"""The desk's keyed records behave alike in memory, on SQLite and on PostgreSQL."""

from dataclasses import replace

from tests.making import START

from benchtrail.services.desk_records import CustomerMachine, HeldPacks, JobSummary, NoteAnswer, Proposal, Review, Withdrawal
from benchtrail.services.ports import Storage
from benchtrail.services.records import Dealer, Device

PROPOSAL = Proposal("d", "p", "Title", [{"path": "a.yaml", "text": "x: ü"}], "Note", "", None, None, "anna", START)
RECORDS = {
    "proposals": PROPOSAL, "reviews": Review("d", "p", 1, "rob", START, "accepted", "", False),
    "withdrawals": Withdrawal("d", "s", 3, "anna", START, "why"), "held_packs": HeldPacks("d", "dev", ["ab"], START),
    "note_answers": NoteAnswer("d", 7, "job", "event", "text", "anna", START),
    "machines": CustomerMachine("d", "m", "Fell", "Mrs A", "fell", 2023, ["kick"], None, 12.5, START, "", "anna", START),
    "job_summaries": JobSummary("d", "job", "1,2", "v1", {"row": {"a": [1, None]}}),
}


def test_a_record_is_put_replaced_found_and_dropped(storage: Storage) -> None:
    with storage.writing() as unit:
        for slug in ("d", "e"):
            unit.dealers.add(Dealer(slug, "D", False, slug, {}, "e", START))
        unit.devices.put(Device("d", "dev", "Phone", "hash", START))
        for name, record in RECORDS.items():
            shelf = getattr(unit, name)
            shelf.put(record)
            shelf.put(record)
    with storage.reading() as unit:
        for name, record in RECORDS.items():
            shelf, key = getattr(unit, name), list(vars(record).values())[: record.KEY]
            assert shelf.get(*key) == record
            assert shelf.all("d") == [record]
            assert shelf.all("e") == []
            assert shelf.get("e", *key[1:]) is None


def test_fields_narrow_what_is_found_and_keys_order_it(storage: Storage) -> None:
    with storage.writing() as unit:
        unit.dealers.add(Dealer("d", "D", False, "kid", {}, "e", START))
        unit.proposals.put(PROPOSAL)
        unit.proposals.put(replace(PROPOSAL, id="a", state="published"))
    with storage.reading() as unit:
        assert [one.id for one in unit.proposals.all("d")] == ["a", "p"]
        assert [one.id for one in unit.proposals.all("d", state="published")] == ["a"]
    with storage.writing() as unit:
        unit.proposals.drop("d", "a")
        unit.proposals.drop("d", "not there")
    with storage.reading() as unit:
        assert [one.id for one in unit.proposals.all("d")] == ["p"]
