"""What changed between two packs, in the terms of the trade."""
