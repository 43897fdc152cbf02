"""What most tests of the services start from: a clock that stands, and everything in memory with one dealership."""

import pytest
from tests.making import SetClock, memory_ports, with_dealer

from benchtrail.services.ports import Ports


@pytest.fixture
def clock() -> SetClock:
    return SetClock()


@pytest.fixture
def ports(clock: SetClock) -> Ports:
    made = memory_ports(clock)
    with_dealer(made)
    return made
