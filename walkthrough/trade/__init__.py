"""Pure calculations of the trade: plain values in, plain values out, no rulebook and no record."""
