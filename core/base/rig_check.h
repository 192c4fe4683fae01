// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/flag.h"
#include "core/base/sentence.h"

#include <optional>
#include <string>
#include <variant>
#include <vector>

namespace twinlamp {

enum class CheckKind : std::uint8_t
{
    Zero, ///< both lamps in direct view: the measured difference must be zero
    TimeBase ///< a lamp driven with a known period calibrates the capture rate
};

/// Rows of the stored picture, half-open: [first, last).
struct RowSpan
{
    int first = 0;
    int last = 0;
    bool operator==(const RowSpan&) const = default;
};

/// What a zero check found.
struct ZeroFigures
{
    double differenceMs = 0.0; ///< goggle lamp minus reference lamp, after row correction
    double uncertaintyMs = 0.0; ///< 95 % half width of it
    double scatterMs = 0.0; ///< standard deviation of the single differences
    std::optional<double> lineTimeUs; ///< given or fitted; stored picture, negative: bottom first
    std::optional<double> lineTimeUncertaintyUs; ///< 95 % half width; nothing where it was given
    RowSpan referenceRows;
    RowSpan goggleRows;
    bool operator==(const ZeroFigures&) const = default;
};

/// What a time-base check found.
struct TimeBaseFigures
{
    double captureRateHz = 0.0;
    double uncertaintyHz = 0.0; ///< 95 % half width of it
    std::optional<double> labelledRateHz; ///< what the tester or the file says; nothing: neither
    double periodMs = 0.0; ///< of the lamp: from one switching on to the next
    double periodUncertaintyMs = 0.0; ///< 95 % half width of it; 0: taken as exact
    int cycles = 0; ///< whole periods from the first onset to the last
    double scatterMs = 0.0; ///< standard deviation of the onsets about the fit
    bool operator==(const TimeBaseFigures&) const = default;
};

/// One rig check of one clip, as measured.
struct CheckResult
{
    std::string file; ///< name of the footage file
    std::string sha256; ///< of the whole file, lower-case hex
    int edges = 0; ///< zero: switchings seen on both lamps; time base: switchings of the lamp
    std::variant<ZeroFigures, TimeBaseFigures> figures;
    Flags flags;
    std::vector<Sentence> notes;
    bool operator==(const CheckResult&) const = default;

    [[nodiscard]] CheckKind kind() const
    {
        return std::holds_alternative<ZeroFigures>(figures) ? CheckKind::Zero : CheckKind::TimeBase;
    }
};

} // namespace twinlamp
