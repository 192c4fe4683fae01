// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/option_words.h"

#include "app/option_values.h"
#include "core/base/wire_names.h"

namespace twinlamp::app {

using measure::TransferCurve;

OptionWords<FrameRate> captureRateWords(const char* help)
{
    return {"--capture-rate", "HZ",
        "a frame rate from 1 to 1000000, such as 240, 239.76 or 240000/1001", parseRate, help};
}

OptionWords<double> exposureWords()
{
    return {"--exposure", "MS", "a time in ms above 0 and up to 3600000, with a decimal point",
        parsePositiveMs, "Exposure of one frame (estimated when left out)"};
}

OptionWords<double> lineTimeWords()
{
    return {"--line-time", "US", "a time in microseconds up to 100000, with a decimal point",
        parseLineTimeUs,
        "Rolling shutter: from one row of the stored, unrotated picture to the next; negative: "
        "bottom row first; 0: all rows at once (estimated from the rows within a lamp when left "
        "out)"};
}

OptionWords<TransferCurve> transferWords()
{
    return {"--transfer", "CURVE", "one of bt709, srgb, gamma22, gamma28, linear, hlg, pq",
        [](const std::string& text) { return fromWireName<TransferCurve>(text); },
        "The camera's curve from light to code value, where the file's tag is missing or wrong: "
        "bt709, srgb, gamma22, gamma28, linear, hlg, pq (the file's, else bt709)"};
}

OptionWords<double> zeroWords()
{
    return {"--zero", "MS", "a time in ms up to 3600000, with a decimal point", parseMs,
        "Correction to subtract from every latency"};
}

OptionWords<double> zeroUncertaintyWords()
{
    return {"--zero-uncertainty", "MS", "a time in ms from 0 to 3600000, with a decimal point",
        parseNotNegativeMs, "95 % half width of that correction"};
}

} // namespace twinlamp::app
