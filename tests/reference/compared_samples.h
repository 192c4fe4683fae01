// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <vector>

/// Published groups and pairs of samples that comparisons are checked with, each with its source.
namespace twinlamp::reference {

using Groups = std::vector<std::vector<double>>;

/// Ozone of R's airquality, missing values removed: months 5 to 9.
inline const Groups ozoneByMonth {
    {41, 36, 12, 18, 28, 23, 19, 8, 7, 16, 11, 14, 18, 14, 34, 6, 30, 11, 1, 11, 4, 32, 23, 45, 115,
        37},
    {29, 71, 39, 23, 21, 37, 20, 12, 13},
    {135, 49, 32, 64, 40, 77, 97, 97, 85, 10, 27, 7, 48, 35, 61, 79, 63, 16, 80, 108, 20, 52, 82,
        50, 64, 59},
    {39, 9, 16, 78, 35, 66, 122, 89, 110, 44, 28, 65, 22, 59, 23, 31, 44, 21, 9, 45, 168, 73, 76,
        118, 84, 85},
    {96, 78, 73, 91, 47, 32, 20, 23, 21, 24, 44, 21, 28, 9, 13, 46, 18, 13, 24, 16, 13, 23, 36, 7,
        14, 30, 14, 18, 20},
};

/// NIST GEAR.DAT, as in the tests of SciPy: ten batches of ten; value = k / 1000.
inline const std::array<int, 100> gear {1006, 996, 998, 1000, 992, 993, 1002, 999, 994, 1000, 998,
    1006, 1000, 1002, 997, 998, 996, 1000, 1006, 988, 991, 987, 997, 999, 995, 994, 1000, 999, 996,
    996, 1005, 1002, 994, 1000, 995, 994, 998, 996, 1002, 996, 998, 998, 982, 990, 1002, 984, 996,
    993, 980, 996, 1009, 1013, 1009, 997, 988, 1002, 995, 998, 981, 996, 990, 1004, 996, 1001, 998,
    1000, 1018, 1010, 996, 1002, 998, 1000, 1006, 1000, 1002, 996, 998, 996, 1002, 1006, 1002, 998,
    996, 995, 996, 1004, 1004, 998, 999, 991, 991, 995, 984, 994, 997, 997, 991, 998, 1004, 997};

[[nodiscard]] inline Groups gearBatches()
{
    Groups batches(10);
    for (std::size_t i = 0; i < gear.size(); ++i) {
        batches[i / 10].push_back(gear[i] / 1000.0);
    }
    return batches;
}

/// R's InsectSprays: counts by spray, A to F.
inline const Groups insectSprays {
    {10, 7, 20, 14, 14, 12, 10, 23, 17, 20, 14, 13},
    {11, 17, 21, 11, 16, 14, 17, 17, 19, 21, 7, 13},
    {0, 1, 7, 2, 3, 1, 2, 1, 3, 0, 1, 4},
    {3, 5, 12, 6, 4, 3, 5, 5, 5, 5, 2, 4},
    {3, 5, 3, 5, 3, 6, 1, 1, 3, 2, 6, 4},
    {11, 9, 15, 22, 15, 16, 13, 10, 26, 26, 24, 13},
};

/// Mucociliary efficiency: Hollander & Wolfe 1973, p. 116, in the help of R's kruskal.test.
inline const Groups mucociliary {
    {2.9, 3.0, 2.5, 2.6, 3.2}, {3.8, 2.7, 4.0, 2.4}, {2.8, 3.4, 3.7, 2.2, 2.0}};

/// Arsenic, 6 wells: USEPA (2009) Unified Guidance, ex. 11-2, through EnvStats.
inline const Groups arsenic {
    {22.9, 3.1, 35.7, 4.2},
    {2.0, 1.2, 7.8, 52.0},
    {2.0, 109.4, 4.5, 2.5},
    {7.8, 9.3, 25.9, 2.0},
    {24.9, 1.3, 0.8, 27.0},
    {0.3, 4.8, 2.8, 1.2},
};

/// Permeability constants: Hollander & Wolfe 1973, p. 69, in the help of R's wilcox.test.
inline const std::vector<double> permeabilityX {
    0.80, 0.83, 1.89, 1.04, 1.45, 1.38, 1.91, 1.64, 0.73, 1.46};
inline const std::vector<double> permeabilityY {1.15, 0.88, 0.90, 0.74, 1.21};

/// Student's sleep data (1908), as in R.
inline const std::vector<double> sleepFirst {0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0, 2};
inline const std::vector<double> sleepSecond {1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4};

/// Hollander, Wolfe & Chicken, ex. 5.4, in the help of the R package NSM3.
inline const std::vector<double> feedback {
    -0.15, 8.6, 5, 3.71, 4.29, 7.74, 2.48, 3.25, -1.15, 8.38};
inline const std::vector<double> noFeedback {
    2.55, 12.07, 0.46, 0.35, 2.69, -0.94, 1.73, 0.73, -0.35, -0.37};

/// K. Y. Hogarty, J. D. Kromrey (1999), in the R package effsize.
inline const std::vector<double> hogartyTreatment {10, 10, 20, 20, 20, 30, 30, 30, 40, 50};
inline const std::vector<double> hogartyControl {10, 20, 30, 40, 40, 50};

/// B. Efron, R. J. Tibshirani (1993): Table 2.1, mice; Table 3.1, law schools; ch. 14, spatial
/// test.
inline const std::vector<double> treatedMice {94, 197, 16, 38, 99, 141, 23};
inline const std::vector<double> controlMice {52, 104, 146, 10, 51, 30, 40, 27, 46};
inline const std::vector<double> lawTest {
    576, 635, 558, 578, 666, 580, 555, 661, 651, 605, 653, 575, 545, 572, 594};
inline const std::vector<double> lawGrade {
    3.39, 3.30, 2.81, 3.03, 3.44, 3.07, 3.00, 3.43, 3.36, 3.13, 3.12, 2.74, 2.76, 2.88, 2.96};
inline const std::vector<double> spatial {48, 36, 20, 29, 42, 42, 20, 42, 22, 41, 45, 14, 6, 0, 33,
    28, 34, 4, 32, 24, 47, 41, 24, 26, 30, 41};

/// From the tests of SciPy's bootstrap.
inline const std::vector<double> skewed {
    10, 12, 12.5, 12.5, 13.9, 15, 21, 22, 23, 34, 50, 81, 89, 121, 134, 213};

} // namespace twinlamp::reference
