"""One outfit: an attachment, the way it hangs, the way its lid is moved."""

from __future__ import annotations

from dataclasses import dataclass

from handfast.machines.attachment import Attachment
from handfast.outfits.mounting import MountRoute
from handfast.outfits.powering import PowerRoute


@dataclass(frozen=True)
class Outfit:
    """A candidate answer before it is checked."""

    attachment: Attachment
    mount: MountRoute
    power: PowerRoute
    seen_elsewhere: bool = False

    @property
    def id(self) -> str:
        """Stable id: attachment, mount and power."""
        return "~".join((self.attachment.id, f"{self.mount.interface}.{self.mount.id}", self.power.route))

    @property
    def name(self) -> str:
        """The attachment's name as said on the phone."""
        return self.attachment.name or str(self.attachment.kind).replace("_", " ")

    @property
    def title(self) -> str:
        """The outfit's name on a page."""
        power = "" if self.power.route == "none" else f", {self.power.words.title}"
        return f"{self.name}, {self.mount.title}{power}"
