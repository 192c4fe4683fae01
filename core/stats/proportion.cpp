// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/proportion.h"

#include "core/base/contracts.h"
#include "core/stats/special_functions.h"

namespace twinlamp::stats {

ShareInterval clopperPearson(Count count, double confidence)
{
    TL_EXPECTS(count.hits >= 0 && count.hits <= count.trials);
    TL_EXPECTS(confidence > 0.0 && confidence < 1.0);
    const double tail = (1.0 - confidence) / 2.0;
    const auto hits = static_cast<double>(count.hits);
    const auto misses = static_cast<double>(count.trials - count.hits);
    ShareInterval interval;
    if (count.hits > 0) {
        interval.low = betaQuantile(hits, misses + 1.0, tail);
    }
    if (count.hits < count.trials) {
        interval.high = betaQuantile(hits + 1.0, misses, 1.0 - tail);
    }
    return interval;
}

} // namespace twinlamp::stats
