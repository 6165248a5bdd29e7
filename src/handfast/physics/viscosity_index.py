"""Viscosity index: how flat an oil's viscosity lies over temperature."""

from __future__ import annotations

import numpy as np

from handfast.quantities.arrays import Array, ArrayLike

_FITS = np.array(
    [  # from this viscosity at 100 °C [mm²/s] on: L = a Y² + b Y + c, H = d Y² + e Y + f (ASTM D2270, from memory)
        (2.0, 1.14673, 1.7576, -0.109, 0.84155, 1.5521, -0.077),
        (3.8, 3.38095, -15.4952, 33.196, 0.78571, 1.7929, -0.183),
        (4.4, 2.5000, -7.2143, 13.812, 0.82143, 1.5679, 0.119),
        (5.0, 0.10100, 16.6350, -45.469, 0.04985, 9.1613, -18.557),
        (6.4, 3.35714, -23.5643, 78.466, 0.22619, 7.7369, -16.656),
        (7.0, 0.01191, 21.4750, -72.870, 0.79762, -0.7321, 14.610),
        (7.7, 0.41858, 16.1558, -56.040, 0.05794, 10.5156, -28.240),
        (9.0, 0.88779, 7.5527, -16.600, 0.26665, 6.7015, -10.810),
        (12.0, 0.76720, 10.7972, -38.180, 0.20073, 8.4658, -22.490),
        (15.0, 0.97305, 5.3135, -2.200, 0.28889, 5.9741, -4.930),
        (18.0, 0.97256, 5.2500, -0.980, 0.24504, 7.4160, -16.730),
        (22.0, 0.91413, 7.4759, -21.820, 0.20323, 9.1267, -34.230),
        (28.0, 0.87031, 9.7157, -50.770, 0.18411, 10.1015, -46.750),
        (40.0, 0.84703, 12.6752, -133.310, 0.17029, 11.4866, -80.620),
        (55.0, 0.85921, 11.1009, -83.190, 0.17130, 11.3680, -76.940),
        (70.0, 0.83531, 14.6731, -216.246, 0.16841, 11.8493, -96.947),
    ]
)


def viscosity_index(viscosity_40: ArrayLike, viscosity_100: ArrayLike) -> Array:
    """Viscosity index of an oil from its viscosities at 40 and 100 °C.

    Args:
        viscosity_40: Kinematic viscosity at 40 °C [m²/s], any shape.
        viscosity_100: Kinematic viscosity at 100 °C [m²/s], broadcasts; below 2 mm²/s gives nan.

    Returns:
        Viscosity index [1], broadcast shape.

    Source: ASTM D2270 procedures A and B, with its quadratic fits of L and H.

    >>> round(float(viscosity_index(73.30e-6, 8.86e-6)))
    92
    """
    u, y = np.asarray(viscosity_40, float) * 1e6, np.asarray(viscosity_100, float) * 1e6
    fit = _FITS[np.clip(np.searchsorted(_FITS[:, 0], y, side="right") - 1, 0, None)]
    low = (fit[..., 1] * y + fit[..., 2]) * y + fit[..., 3]
    high = (fit[..., 4] * y + fit[..., 5]) * y + fit[..., 6]
    flat = 100.0 * (low - u) / (low - high)
    steep = (10.0 ** (np.log10(high / u) / np.log10(y)) - 1.0) / 0.00715 + 100.0
    return np.where(y < 2.0, np.nan, np.where(u < high, steep, flat))
