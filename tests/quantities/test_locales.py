"""How numbers are written, against the Unicode locale data that babel carries."""

from __future__ import annotations

import pytest
from babel import Locale

from handfast.quantities.locales import _STYLES, number_style

LOCALES = ["en_US", "en_GB", "de_DE", "de_CH", "de_AT", "fr_FR", "it_IT", "nl_NL", "da_DK", "sv_SE", "nb_NO", "fi_FI",
           "pl_PL", "cs_CZ", "sk_SK", "ru_RU", "uk_UA", "hu_HU", "bg_BG", "pt_BR", "pt_PT", "es_ES", "es_MX", "es_US",
           "tr_TR", "el_GR", "id_ID", "hr_HR", "sl_SI", "ro_RO", "ja_JP", "zh_CN", "ko_KR", "he_IL", "th_TH", "it_CH",
           "de_LI", "en_ZA"]  # fmt: skip
SPACES = {"\u00a0": " ", "\u202f": " ", "’": "'"}


@pytest.mark.parametrize("name", LOCALES)
def test_signs_are_those_of_the_locale_data(name: str) -> None:
    symbols = Locale.parse(name).number_symbols["latn"]
    style = number_style(name)
    assert style.decimal == symbols["decimal"]
    assert style.group == SPACES.get(symbols["group"], symbols["group"])


def test_every_language_listed_is_checked() -> None:
    checked = {name.split("_")[0] for name in LOCALES} | set(LOCALES)
    assert {key for key in _STYLES if key not in checked} <= {"no"}  # an old code of nb


def test_an_unlisted_language_is_refused() -> None:
    with pytest.raises(ValueError, match="not known"):
        number_style("xx_XX")
