"""The checks by id, and how bad what they find can be.

M: the map. S: the text of a procedure. D: playing it step by step. E: what is left at its end. R, not listed here, is
reading. Source: our own list (the project's planning model).
"""

from benchtrail.domain.findings import Severity

_N, _W, _E, _B = Severity.NOTE, Severity.WARNING, Severity.ERROR, Severity.BLOCK

CHECKS: dict[str, frozenset[Severity]] = {key: frozenset(severities) for key, severities in {
    # references, guards, access, recipe of rebuilding, provenance, plausible figures, unit pairs, fluids and positions
    "M1": {_E}, "M2": {_E}, "M3": {_E}, "M4": {_E, _W}, "M5": {_E, _W}, "M6": {_W}, "M7": {_N, _W, _E}, "M8": {_E},
    # applicability, tools, lists, amounts, missing message, signal word, misplaced message, language, called, sameness
    "S1": {_E}, "S2": {_E}, "S3": {_N}, "S4": {_E}, "S5": {_B}, "S6": {_W}, "S7": {_E}, "S8": {_N}, "S9": {_E},
    "S10": {_E},
    "D1": {_E}, "D2": {_E}, "D3": {_B}, "D4": {_E, _B}, "D5": {_E, _B}, "D6": {_B}, "D7": {_E}, "D8": {_E},
    "D9": {_W, _E}, "D10": {_E, _B}, "D11": {_E, _B}, "D12": {_E}, "D13": {_E}, "D14": {_E, _B}, "D15": {_E},
    "D16": {_E}, "D17": {_E}, "D18": {_E, _B}, "D19": {_W}, "D20": {_N},
    "E1": {_E, _B}, "E2": {_E, _B}, "E3": {_B}, "E4": {_E, _B}, "E5": {_E, _B}, "E6": {_E, _B},
    # not in the planning model's list: the goal that the head names is not reached
    "E7": {_E},
}.items()}
