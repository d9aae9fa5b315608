"""From findings to the least-cost set of actions after which the same judge finds nothing."""
