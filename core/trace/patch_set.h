// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/units.h"
#include "core/footage/picture.h"
#include "core/trace/shift_px.h"

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace twinlamp::trace {

/// Grey values of a picture, not owned: the luma plane of a decoded picture, or floats.
class GreyView
{
public:
    explicit GreyView(const footage::PictureView& picture);
    GreyView(const float* values, int widthPx, int heightPx);

    [[nodiscard]] int widthPx() const { return m_plane.widthPx; }

    [[nodiscard]] int heightPx() const { return m_plane.heightPx; }

    [[nodiscard]] RectPx all() const { return {0, 0, m_plane.widthPx, m_plane.heightPx}; }

    /// A part as floats, row by row. @pre it lies inside
    void copy(RectPx part, std::span<float> out) const;

private:
    footage::PlaneView m_plane;
    int m_sampleBytes = 1; ///< 4: floats
};

/// Small parts of a reference picture that are found again in other pictures.
///
/// Least squares over all patches together for one shift, each patch with a brightness and a
/// contrast of its own (taken out of its gradients beforehand), so that light that changes does
/// not count as motion; patches that disagree with the others (something else moves or switches
/// there) lose weight, and so does what has changed its looks.
/// Source: Lucas and Kanade, "An iterative image registration technique", IJCAI 1981 (from
/// memory); Cauchy's weight for the disagreement. Immutable: fit() may run on many threads.
class PatchSet
{
public:
    /// The `most` patches of `sizePx` with the best gradients, none of which touches `leftOut`.
    PatchSet(const GreyView& reference, int sizePx, std::size_t most,
        const std::vector<RectPx>& leftOut);

    /// Whole-pixel shift, none beyond `reach` px, at which the patches look most like the picture,
    /// each judged by its correlation: a few that switch or move do not turn the vote.
    [[nodiscard]] ShiftPx search(const GreyView& picture, int reach) const;

    struct Fit
    {
        ShiftPx shift;
        double standardErrorPx = 0.0; ///< from the patches' scatter, the worse direction
        double agreement = 0.0; ///< share of the patches that carried the fit, 0 to 1
    };

    /// Shift of `picture` against the reference, from a start within about 2 px of it; nothing
    /// where too little was found again.
    [[nodiscard]] std::optional<Fit> fit(const GreyView& picture, ShiftPx start) const;

    [[nodiscard]] std::size_t size() const { return m_patches.size(); }

private:
    struct Patch
    {
        int x = 0;
        int y = 0;
        std::vector<float> shape; ///< values minus their mean
        std::vector<float> alongX; ///< gradients without their share of 1 and of shape
        std::vector<float> alongY;
        double shapeEnergy = 0.0;
        double xx = 0.0; ///< sums of products of the gradients
        double xy = 0.0;
        double yy = 0.0;
    };

    /// What a patch says about the rest of a shift.
    struct Say
    {
        double gain = 0.0;
        double x = 0.0; ///< gradients times the picture
        double y = 0.0;
        double looks = 0.0; ///< correlation with the reference, 0 to 1
        double weight = 0.0;
    };

    [[nodiscard]] std::optional<Patch> makePatch(const GreyView& reference, int x, int y) const;
    /// Likeness of a patch to the values at a place, 0 to 1; 0 where they go the other way.
    [[nodiscard]] double vote(const Patch& patch, const float* values, std::size_t width) const;
    [[nodiscard]] Say listen(
        const Patch& patch, const GreyView& picture, ShiftPx at, std::vector<float>& scratch) const;
    [[nodiscard]] std::optional<Fit> restOf(std::vector<Say>& says) const;

    int m_sizePx;
    std::vector<Patch> m_patches;
};

} // namespace twinlamp::trace
