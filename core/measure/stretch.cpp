// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/stretch.h"

#include <cmath>

namespace twinlamp::measure {

Products productsIn(const Stretch& stretch, std::span<const double> b, const Column& light)
{
    double sumB = 0.0;
    double sumL = 0.0;
    Products sums;
    for (std::size_t k = stretch.first; k < stretch.last; ++k) {
        const auto l = static_cast<double>(light.at(k));
        if (std::isfinite(b[k]) && std::isfinite(l)) {
            sumB += b[k];
            sumL += l;
            sums.bb += b[k] * b[k];
            sums.bl += b[k] * l;
            sums.ll += l * l;
            sums.count += 1.0;
        }
    }
    if (sums.count > 0.0) {
        sums.bb -= sumB * sumB / sums.count;
        sums.bl -= sumB * sumL / sums.count;
        sums.ll -= sumL * sumL / sums.count;
    }
    return sums;
}

} // namespace twinlamp::measure
