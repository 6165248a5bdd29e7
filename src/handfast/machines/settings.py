"""What the dealer sets for the whole house: the name on papers, units, language, weight behind, the outside address."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Literal

from handfast.machines.fields import Contradiction, Record, Share
from handfast.quantities.estimate import Estimate

LEAST_SHARE, MOST_SHARE = 0.20, 0.40  # the written rule; beyond the other the tractor stands on its tail
INVENTED = "Quernwater Loader & Implement"  # the dealer of the demonstration
ACCEPTED = "Goes on before the attachment does, and stays on:"
DECLINED = "Declined, this is an offer of parts only: no fitting and no fit statement, and a second person signs."
_ADDRESS = re.compile(r"https://[A-Za-z0-9.-]+(?::\d{1,5})?(?:/[\w./~-]*)?")


class Settings(Record):
    """One set for a workspace; labour, tax, deposit and currency stand in the price book."""

    dealer: str = ""
    address: str = ""
    phone: str = ""
    paper: Literal["us-letter", "a4"] = "us-letter"
    units: Literal["us", "metric"] = "us"
    language: Literal["browser", "en", "es"] = "browser"
    ballast_share: Share = Estimate.known(LEAST_SHARE, text="20 %")
    ballast_accepted: str = ""
    ballast_declined: str = ""
    outside_address: str = ""
    login_here: bool = False

    def contradictions(self) -> Iterator[Contradiction]:
        """The written rule's share is the least; a link goes out encrypted or not at all."""
        share = self.ballast_share
        if not share.is_known or not LEAST_SHARE <= share.value <= MOST_SHARE:
            found = share.text or ("nothing" if share.is_unknown else f"{share.value:g}")
            yield Contradiction("ballast_share", found, "one share from 20 %, the written rule, to 40 %")
        if self.outside_address and not _ADDRESS.fullmatch(self.outside_address):
            expected = "an address such as https://quotes.example.com"
            yield Contradiction("outside_address", f'"{self.outside_address[:60]}"', expected)

    @property
    def name(self) -> str:
        """The name that leads the papers: the dealer's, or the invented one of the demonstration."""
        return self.dealer or INVENTED

    @property
    def reached(self) -> str:
        """Where the dealer is reached, in one line."""
        return ", ".join(part for part in (*self.address.splitlines(), self.phone) if part.strip())

    @property
    def invented(self) -> bool:
        """Whether no dealer has put in a name: then the papers say that all is invented."""
        return not self.dealer

    @property
    def accepted(self) -> str:
        """What a quotation says before the weights that go on."""
        return self.ballast_accepted or ACCEPTED

    @property
    def declined(self) -> str:
        """What a quotation says that declining them means."""
        return self.ballast_declined or DECLINED
