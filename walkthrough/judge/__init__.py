"""Sets a record against a rulebook: verdicts, requirements, findings, and what is still open."""
