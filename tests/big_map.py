"""The text of a map of any number of parts: covers one behind the other in rows, each held by one joint."""

ROW = 25


def big_map(parts: int) -> str:
    """A map whose part n stands behind part n-1 of its row."""
    lines = ["model: big-model", "name: Big model", "invented: true", "years: 2020-2023", "revision: 1", "issued: 2026-01-02", "parts:"]
    for n in range(parts):
        behind = f", exit: [[out p{n - 1}]]" if n % ROW else ""
        lines.append(f"  p{n}: {{name: p{n}{behind}}}")
    lines.append("joints:")
    for n in range(parts):
        reach = f", reach: [[out p{n - 1}]]" if n % ROW else ""
        lines.append(f"  j{n}: {{name: c{n}, joins: [p{n}, frame], kind: clip, tools: [hand], "
                     f"positions: [{{at: [0, 0]}}], hand: clicks{reach}}}")
    return "\n".join([*lines, "tools:", "  hand: {name: bare hand, kind: none}", ""])
