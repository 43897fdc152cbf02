"""The functions that shared/vectors may call, by name; frontend/src/domain/vector-functions.ts has the same lines.

A vector calls a function with its `input` as named arguments; what it gives back must be plain data.
"""

from collections.abc import Callable
from typing import Any

from tests.domain.calculation_functions import calculation_functions

from benchtrail.domain.guards import guard_holds

FUNCTIONS: dict[str, Callable[..., Any]] = {
    "guard_holds": guard_holds,
    **calculation_functions(),
}
