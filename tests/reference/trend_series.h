// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <vector>

/// Published series over time, each with its source.
namespace twinlamp::reference {

/// USEPA (2009) Unified Guidance, ex. 17-6: sulfate, ppm, over years since 1900; through
/// EPA.09.Ex.17.6.sulfate.df of EnvStats.
inline const std::vector<double> sulfateYears {89.6, 89.8, 90.1, 90.3, 90.6, 90.8, 91.1, 91.3, 91.6,
    91.8, 92.1, 92.6, 93.1, 93.6, 94.1, 94.6, 95.1, 95.6, 95.8, 96.1, 96.3, 96.6, 96.8};
inline const std::vector<double> sulfate {480, 450, 490, 520, 485, 510, 510, 530, 510, 560, 560,
    540, 590, 550, 600, 700, 570, 610, 650, 620, 830, 720, 590};

/// M. Hollander, D. A. Wolfe, E. Chicken, ex. 9.1, in the R package NSM3.
inline const std::vector<double> cloudSeeding {1.26, 1.27, 1.12, 1.16, 1.03};

/// SciPy's test of theilslopes, after Sen (1968).
inline const std::vector<double> senAt {1, 2, 3, 4, 10, 12, 18};
inline const std::vector<double> senValues {9, 15, 19, 20, 45, 55, 78};

/// USEPA (2009), ex. 17-7: sodium.
inline const std::vector<double> sodiumYears {
    89.6, 90.1, 90.8, 91.1, 92.1, 93.1, 94.1, 95.6, 96.1, 96.3};
inline const std::vector<double> sodium {56, 53, 51, 55, 52, 60, 62, 59, 61, 63};

/// R, example of cor.test (Hollander & Wolfe 1973, p. 187): canned tuna, in the order of x.
inline const std::vector<double> tunaByLightness {2.5, 4.0, 2.6, 3.6, 2.8, 3.1, 5.2, 5.0, 3.8};

} // namespace twinlamp::reference
