"""Frozen results of an outing: timeline, log, verdict, ledger, provenance."""
