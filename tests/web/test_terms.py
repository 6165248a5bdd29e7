"""A new clerk's help: labels of the call and checks of an outfit lead to the word's meaning, and the word is there."""

from __future__ import annotations

import re

from handfast.outfits.checks import CHECKS
from handfast.web.glossary import TERMS, entry


def test_every_word_is_in_the_glossary_and_every_place_is_one() -> None:
    checks = {one.id for one in CHECKS}
    assert all(entry(slug).says for slug in TERMS.values())
    assert all(place in checks or place.startswith(("machine.", "behind.")) for place in TERMS)


def test_the_pages_lead_to_them(desk) -> None:
    glossary = desk.client.get("/glossary").text
    one = desk.client.get("/inquiries/1/json").json()["outfits"][0]["id"]
    for page in ("/inquiries/1", f"/inquiries/1/outfits/{one}"):
        linked = set(re.findall(r'href="/glossary#(\w+)"', desk.client.get(page).text))
        assert linked and all(f'id="{slug}"' in glossary for slug in linked), page
