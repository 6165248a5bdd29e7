"""The currencies of ISO 4217 that money is paid in; its metals, funds and testing codes are left out."""

from __future__ import annotations

CODES = frozenset(
    """
    AED AFN ALL AMD ANG AOA ARS AUD AWG AZN BAM BBD BDT BGN BHD BIF BMD BND BOB BRL BSD BTN BWP BYN BZD CAD CDF CHF CLP
    CNY COP CRC CUP CVE CZK DJF DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GNF GTQ GYD HKD HNL HTG HUF IDR
    ILS INR IQD IRR ISK JMD JOD JPY KES KGS KHR KMF KPW KRW KWD KYD KZT LAK LBP LKR LRD LSL LYD MAD MDL MGA MKD MMK MNT
    MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD OMR PAB PEN PGK PHP PKR PLN PYG QAR RON RSD RUB RWF SAR SBD
    SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TND TOP TRY TTD TWD TZS UAH UGX USD UYU UZS VES VND
    VUV WST XAF XCD XOF XPF YER ZAR ZMW
    """.split()  # from ISO 4217, list one, by way of the tables that operating systems ship
)


def is_currency(code: str) -> bool:
    """Whether a code names a currency that money is paid in.

    Args:
        code: three letters.

    Returns:
        True or false.

    Source: ISO 4217, list one.

    Example:
        >>> is_currency("EUR"), is_currency("XYZ")
        (True, False)
    """
    return code in CODES
