"""Turns a judgement into documents that people act on, and into machine formats."""
