"""The one family of errors that the domain raises: a code and its values, never a sentence.

Knows nothing of wording; the sentences stand in `shared/messages/*.en.json`, three parts for each code.
"""


class Refused(Exception):
    """An input that cannot be accepted, named by `code`; `values` fill the message (values with units as text)."""

    def __init__(self, code: str, **values: object) -> None:
        super().__init__(code, values)
        self.code = code
        self.values = values
