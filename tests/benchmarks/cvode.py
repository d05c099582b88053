"""CVODE of SUNDIALS in the marcher's place, for the benchmark to compare with; needs `scikit-sundae`.

Method: variable-order backward differentiation with an internal finite-difference Jacobian and CVODE's own
root search (Hindmarsh and others, ACM Transactions on Mathematical Software 31 (2005) 363-396).
"""

from __future__ import annotations

from collections.abc import Callable
from importlib.util import find_spec
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scripted_day import ScipyMarcher, tolerances

from halfglass.plant.assembly import rates
from halfglass.plant.steamplant import SteamPlant

IS_THERE = find_spec("sksundae") is not None
_STEPS = 100_000  # between two outputs, far more than it needs


class CvodeMarcher(ScipyMarcher):
    """Integrates with CVODE; everything else as the scipy stand-in does it."""

    def advance(self, until: float) -> tuple[int, ...]:
        """Go on to a time or to the first crossing."""
        from sksundae.cvode import CVODE

        while self.time < until:
            solver = CVODE(
                self._into, rtol=self._options["rtol"], atol=self._options["atol"], max_num_steps=_STEPS,
                eventsfn=self._excesses(), num_events=len(self._guards),
            )  # fmt: skip
            found = solver.solve(np.array([self.time, until]), self.state.copy())
            if not found.success:
                raise RuntimeError(found.message)
            self.time, self.state[:] = float(found.t[-1]), found.y[-1]
            self._evaluate(self.time, self.state)
            self.readings[:] = self._probe
            if found.i_events is None:
                continue
            crossed = []
            for number in np.flatnonzero(np.atleast_2d(found.i_events)[-1]):
                self._guards[number][3] = not self._guards[number][3]
                if self._guards[number][3]:
                    crossed.append(int(number))
            if crossed:
                return tuple(crossed)
        return ()

    def _excesses(self) -> Callable[..., None]:
        """How far each reading is beyond its threshold, for CVODE's root search."""
        watched = [self._event(number) for number in range(len(self._guards))]

        def excesses(time: float, state: NDArray[np.float64], out: Any) -> None:
            for place, event in enumerate(watched):
                out[place] = event(time, state)

        excesses.direction = [int(event.direction) for event in watched]  # type: ignore[attr-defined]
        return excesses

    def _into(self, time: float, state: NDArray[np.float64], rate: NDArray[np.float64]) -> None:
        rates(time, state, self.plant, self.settings, rate, self._probe)
        self.calls += 1
        self._seen = None


def with_cvode(plant: SteamPlant, relative: float, share: float) -> SteamPlant:
    """The same plant from its present moment on, moved by CVODE."""
    plant.marcher = CvodeMarcher(plant.marcher, "BDF", relative, tolerances(share), 0.0)  # type: ignore[assignment]
    return plant
