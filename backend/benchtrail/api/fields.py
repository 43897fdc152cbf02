"""Marshmallow fields that several schemas use."""

from datetime import datetime
from typing import Any

from marshmallow import fields

from benchtrail.clock import as_text


class Moment(fields.Field[datetime]):
    """A moment, written as ISO 8601 in UTC."""

    def _serialize(self, value: datetime | None, attr: str | None, obj: Any, **kwargs: Any) -> str | None:
        return as_text(value) if value else None
