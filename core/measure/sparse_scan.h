// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/job_control.h"
#include "core/base/result.h"
#include "core/footage/frame_scan.h"
#include "core/measure/region_reader.h"
#include "core/measure/region_scan.h"
#include "core/measure/sparse_plan.h"

#include <functional>
#include <optional>
#include <span>
#include <vector>

namespace twinlamp::measure {

/// Decodes of a clip what the switchings of its lamps need, in steps; a frame that was read is
/// never read again.
///
/// What is decoded depends on the clip and on the needs alone, not on threads. Decoders wait where
/// they stopped while a section of the clip is worked through, so that its keyframes are decoded
/// once; a section ends a few shortest holds on. Memory: as RegionLight, and the waiting decoders,
/// 200 MB a thread at most (but for two of them).
/// Tests: tests/core/measure/sparse_scan_test.cpp
class SparseScan
{
public:
    struct Done
    {
    };

    /// All that is handed in must outlive the scan.
    /// @param progress  hears of the sections of the clip while they are first worked through
    SparseScan(const footage::ClipIndex& index, const RegionRequest& request,
        std::span<const double> startMs, const JobControl& control, ScanProgress progress = {});
    SparseScan(const SparseScan&) = delete;
    SparseScan& operator=(const SparseScan&) = delete;

    /// Samples the clip and decodes around the switchings that show.
    /// @param needs  its tolerances are filled in
    /// @error Footage/…
    [[nodiscard]] JobResult<Done> decodeFirst(SparseNeeds& needs);
    /// What is missing under other needs.
    [[nodiscard]] JobResult<Done> decodeMore(const SparseNeeds& needs);
    /// All the rest.
    [[nodiscard]] JobResult<Done> decodeAll();

    /// Everything read so far; NaN where a frame was not decoded.
    [[nodiscard]] RegionScan soFar() const;

    [[nodiscard]] std::span<const char> decoded() const { return m_decoded; }

    /// Time spent on decoding so far.
    [[nodiscard]] double seconds() const { return m_seconds; }

private:
    [[nodiscard]] const RegionLight& light() const { return m_reader.light(); }

    [[nodiscard]] SeenSoFar seen() const;
    JobResult<Done> timed(const std::function<JobResult<Done>()>& work);
    JobResult<Done> decodeMissing(const SparseNeeds& needs);
    JobResult<Done> decodeRanges(std::span<const FrameRange> ranges);
    JobResult<Done> decodeSections(const SparseNeeds& needs);
    [[nodiscard]] std::vector<FrameRange> sections(double longestGapMs) const;
    [[nodiscard]] std::size_t keptDecoders() const;

    const footage::ClipIndex& m_index;
    std::span<const double> m_startMs;
    const JobControl& m_control;
    footage::ScanOptions m_options;
    RegionReader m_reader;
    footage::VisitFrame m_visit;
    std::vector<char> m_decoded;
    footage::ScanReport m_report;
    double m_seconds = 0.0;
};

} // namespace twinlamp::measure
