// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/clip_notes.h"

#include "core/base/wire_names.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <spdlog/fmt/fmt.h>
#include <string>

namespace twinlamp::measure {

using footage::CaptureClock;
using footage::ClipIndex;

void noteDamage(const ClipIndex& index, const RegionScan& scan, const CaptureClock& clock,
    std::vector<Sentence>& notes)
{
    std::ranges::copy(index.notes, std::back_inserter(notes));
    if (clock.lostFrames() > 0) {
        notes.push_back({"frames-lost", {std::to_string(clock.lostFrames())}});
    }
    if (!scan.missing.empty()) {
        std::string list;
        constexpr std::size_t shown = 8;
        for (std::size_t i = 0; i < std::min(shown, scan.missing.size()); ++i) {
            list += (i == 0 ? "frame " : ", ") + std::to_string(scan.missing[i].value);
        }
        list += scan.missing.size() > shown ? ", …" : "";
        notes.push_back({"frames-damaged",
            {std::to_string(scan.missing.size()), std::to_string(index.frameCount()), list}});
    }
}

void noteShake(const RegionLight& light, std::vector<Sentence>& notes)
{
    if (light.shift.empty()) {
        return;
    }
    double farthest = 0.0;
    std::int64_t lost = 0;
    for (const trace::ShiftPx& shift : light.shift) {
        const double distance = std::hypot(shift.x, shift.y);
        lost += std::isnan(distance) ? 1 : 0;
        farthest = std::fmax(farthest, distance);
    }
    notes.push_back({"hand-held", {fmt::format("{:.1f}", farthest)}});
    if (lost > 0) {
        notes.push_back({"hand-held-lost", {std::to_string(lost)}});
    }
}

void noteChecks(const MeasureOptions& options, std::vector<Sentence>& notes)
{
    if (options.transfer) {
        notes.push_back({"transfer-told", {std::string(wireName(*options.transfer))}});
    }
    const FromRig& fromRig = options.fromRig;
    if (!fromRig.zeroCheckDate.empty()) {
        notes.push_back(
            {"zero-check-applied", {fromRig.zeroCheckDate, fmt::format("{:.3f}", options.zeroMs)}});
    }
    if (fromRig.timeBaseCheckDate.empty()) {
        notes.push_back({"no-time-base-check", {}});
    } else {
        notes.push_back({"time-base-check-applied",
            {fromRig.timeBaseCheckDate, fmt::format("{:.4f}", options.captureRate->hz())}});
    }
}

void noteSparseScan(const MeasureOptions& options, std::int64_t framesRead, std::int64_t frames,
    std::vector<Sentence>& notes)
{
    const char* id = options.fromRig.shortestHold ? "sparse-scan-rig"
        : options.shortestHoldMs                  ? "sparse-scan"
                                                  : "sparse-scan-usual";
    notes.push_back({id,
        {std::to_string(framesRead), std::to_string(frames),
            fmt::format("{:.0f}", options.reliedHoldMs())}});
}

} // namespace twinlamp::measure
