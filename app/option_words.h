// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/measure_options.h"

#include <functional>
#include <optional>
#include <string>

/// How the options that tell about the camera are called, shown and read.
namespace twinlamp::app {

template<typename Value> struct OptionWords
{
    const char* name;
    const char* unit; ///< stands for the value in the help
    const char* takes; ///< completes "'x' is not …"
    std::function<std::optional<Value>(const std::string&)> parse;
    const char* help;
};

[[nodiscard]] OptionWords<FrameRate> captureRateWords(const char* help);
[[nodiscard]] OptionWords<double> exposureWords();
[[nodiscard]] OptionWords<double> lineTimeWords();
[[nodiscard]] OptionWords<measure::TransferCurve> transferWords();
[[nodiscard]] OptionWords<double> zeroWords();
[[nodiscard]] OptionWords<double> zeroUncertaintyWords();

} // namespace twinlamp::app
