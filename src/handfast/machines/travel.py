"""What driving adds to the loads at rest: a bump under way, and braking."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from handfast.machines.fields import UNKNOWN, Contradiction, Quantity, Record
from handfast.quantities.estimate import Estimate
from handfast.quantities.units import G

BUMP = 1.5  # on what the arms carry, travelling (common practice, no source)
BRAKING = 2.0  # m/s² on level ground, load low (common practice, no source)
PRACTICE = "practice"  # the origin of a factor that nobody stated


class Travel(Record):
    """What driving adds to the axle loads: stated by whoever asks, else common practice."""

    bump: Annotated[Estimate, Quantity("count", least=1.0, open_end=False, most=5.0)] = UNKNOWN
    braking: Annotated[Estimate, Quantity("share", open_end=False, most=1.0)] = UNKNOWN

    def contradictions(self) -> Iterator[Contradiction]:
        """A factor is one figure: what is spread belongs to the masses."""
        for name, factor in (("bump", self.bump), ("braking", self.braking)):
            if not factor.is_unknown and not factor.is_known:
                yield Contradiction(name, factor.text or f"{factor.low:g} to {factor.high:g}", "one figure")

    @property
    def bump_factor(self) -> float:
        """What all that the arms carry counts for in the axle loads, travelling."""
        return BUMP if self.bump.is_unknown else float(self.bump.value)

    @property
    def bump_origin(self) -> str:
        """Where the bump factor is from."""
        return PRACTICE if self.bump.is_unknown else self.bump.origin

    @property
    def braking_factor(self) -> float:
        """Braking as a share of gravity."""
        return BRAKING / G if self.braking.is_unknown else float(self.braking.value)

    @property
    def braking_origin(self) -> str:
        """Where the braking factor is from."""
        return PRACTICE if self.braking.is_unknown else self.braking.origin
