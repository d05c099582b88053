"""The ledger: everything that came in, went out or stayed must add up, in mass and in energy."""

from __future__ import annotations

from collections.abc import Mapping

from halfglass.result.records import Ledger, LedgerRow, Side

SIDES: tuple[Side, ...] = ("in", "out", "kept")

Rows = Mapping[Side, Mapping[str, float]]


def close(mass: Rows, energy: Rows) -> Ledger:
    """Draw up the ledger of an outing.

    `mass` [kg] and `energy` [J] give named amounts per side: "in" over the boundary, "out" over it, and
    "kept", the gain of each vessel from start to end (negative where it lost). The error is
    in - out - kept; it is stated relative to the larger of what moved on either side of that balance.

    >>> close({"in": {"lake": 10.0}, "out": {"steam": 8.0}, "kept": {"boiler": 2.0}}, {}).mass_error_kg
    0.0
    """
    mass_error, mass_relative = _balance(mass)
    energy_error, energy_relative = _balance(energy)
    return Ledger(mass_error, energy_error, mass_relative, energy_relative, _rows(mass), _rows(energy))


def _balance(rows: Rows) -> tuple[float, float]:
    came, went, kept = (rows.get(side, {}) for side in SIDES)
    error = sum(came.values()) - sum(went.values()) - sum(kept.values())
    moved = max(
        sum(abs(v) for v in came.values()),
        sum(abs(v) for v in went.values()) + sum(abs(v) for v in kept.values()),
    )
    return error, abs(error) / moved if moved else 0.0


def _rows(rows: Rows) -> tuple[LedgerRow, ...]:
    return tuple(
        LedgerRow(side, name, amount) for side in SIDES for name, amount in rows.get(side, {}).items()
    )


def share(ledger_rows: tuple[LedgerRow, ...], row: LedgerRow) -> float:
    """A row's part (0-1) of everything that came in; 0 when nothing did."""
    came = sum(r.amount for r in ledger_rows if r.side == "in")
    return row.amount / came if came else 0.0
