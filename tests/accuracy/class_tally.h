// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "tests/accuracy/edge_bound.h"
#include "tests/accuracy/trial_run.h"

#include <optional>
#include <string>
#include <vector>

namespace twinlamp::accuracy {

/// All clips of one class together.
class ClassTally
{
public:
    /// @param bounds  of the clip's presses, empty where none are wanted
    void add(const ClipScore& score, const EdgeBounds& bounds = {});

    [[nodiscard]] int presses() const { return m_presses; }

    [[nodiscard]] int missed() const { return m_missed; }

    [[nodiscard]] int invented() const { return m_invented; }

    [[nodiscard]] int setAside() const { return m_setAside; }

    [[nodiscard]] std::size_t timed() const { return m_errors.size(); }

    // Unit of all below: camera frames.
    [[nodiscard]] double bias() const;
    [[nodiscard]] double rmse() const;
    /// Without the presses whose figure jumps (PressScore::jumps).
    [[nodiscard]] double rmseWithoutJumps() const;
    [[nodiscard]] double medianClipRmse() const;
    [[nodiscard]] double worst() const;
    [[nodiscard]] double medianHalfWidth() const;
    /// Root mean square of the bounds, and of the errors of the same presses.
    [[nodiscard]] std::optional<double> bound() const;
    [[nodiscard]] std::optional<double> rmseOfBounded() const;

    [[nodiscard]] double coverage() const; ///< share of the truths inside the stated interval
    [[nodiscard]] std::optional<double> fullFrameRmseMs() const;

    [[nodiscard]] std::size_t fullFrames() const { return m_fullFrameMs.size(); }

    /// Median over the clips of the error's size, as a share.
    [[nodiscard]] std::optional<double> medianNewFrameError() const;

private:
    int m_presses = 0;
    int m_missed = 0;
    int m_invented = 0;
    int m_setAside = 0;
    int m_covered = 0;
    std::vector<double> m_errors;
    std::vector<double> m_steadyErrors;
    std::vector<double> m_clipRmse;
    std::vector<double> m_halfWidths;
    std::vector<double> m_bounds;
    std::vector<double> m_boundedErrors;
    std::vector<double> m_fullFrameMs;
    std::vector<double> m_newFrame;
};

/// Head and rows of the table in DEVELOPERS.md.
[[nodiscard]] std::string tableHead();
[[nodiscard]] std::string tableRow(const SceneClass& kind, const ClassTally& tally);

} // namespace twinlamp::accuracy
