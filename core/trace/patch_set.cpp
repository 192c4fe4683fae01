// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/trace/patch_set.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numeric>

namespace twinlamp::trace {

namespace {

// Disagreement at which a patch counts half, px.
constexpr double halfWeightPx = 0.15;
constexpr int mostRounds = 12;
constexpr double fineEnoughPx = 0.002;
constexpr double goodEnoughPx = 0.05; ///< where the weights go back and forth to the end
constexpr double farthestStepPx = 1.5;
// A start that is farther off led astray.
constexpr double farthestFromStartPx = 6.0;
constexpr double leastContrast = 0.2;
constexpr double mostContrast = 5.0;
constexpr double leastAgreement = 0.15;
constexpr std::size_t fewestPatches = 4;

double product(const std::vector<float>& a, const float* b)
{
    float sum = 0.0F;
    for (std::size_t i = 0; i < a.size(); ++i) {
        sum += a[i] * b[i];
    }
    return static_cast<double>(sum);
}

template<typename Sample>
void copyRow(const footage::PlaneView& plane, int y, int x, std::span<float> out)
{
    const auto* row
        = reinterpret_cast<const Sample*>(plane.data + std::ptrdiff_t {y} * plane.strideBytes) + x;
    for (std::size_t i = 0; i < out.size(); ++i) {
        out[i] = static_cast<float>(row[i]);
    }
}

// Binomial 3 x 3: calms noise and what sampling left jagged. In place; the last two rows and
// columns of `values` are spent.
void smooth(std::span<float> values, int width, int height)
{
    for (int y = 0; y < height; ++y) {
        float* row = values.data() + std::ptrdiff_t {y} * width;
        for (int x = 0; x + 2 < width; ++x) {
            row[x] = 0.25F * (row[x] + 2.0F * row[x + 1] + row[x + 2]);
        }
    }
    for (int y = 0; y + 2 < height; ++y) {
        float* row = values.data() + std::ptrdiff_t {y} * width;
        for (int x = 0; x + 2 < width; ++x) {
            row[x] = 0.25F * (row[x] + 2.0F * row[x + width] + row[x + 2 * width]);
        }
    }
}

void removeMean(std::vector<float>& values)
{
    const double mean
        = std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
    for (float& value : values) {
        value -= static_cast<float>(mean);
    }
}

double smallerEigenvalue(double xx, double xy, double yy)
{
    return 0.5 * (xx + yy - std::hypot(xx - yy, 2.0 * xy));
}

} // namespace

GreyView::GreyView(const footage::PictureView& picture)
    : m_plane(picture.planes[0])
    , m_sampleBytes(picture.bitDepth > 8 ? 2 : 1)
{
}

GreyView::GreyView(const float* values, int widthPx, int heightPx)
    : m_plane {reinterpret_cast<const std::uint8_t*>(values),
        static_cast<std::ptrdiff_t>(sizeof(float)) * widthPx, widthPx, heightPx}
    , m_sampleBytes(4)
{
}

void GreyView::copy(RectPx part, std::span<float> out) const
{
    const auto width = static_cast<std::size_t>(part.width);
    for (int y = 0; y < part.height; ++y) {
        const auto row = out.subspan(static_cast<std::size_t>(y) * width, width);
        switch (m_sampleBytes) {
        case 1:
            copyRow<std::uint8_t>(m_plane, part.y + y, part.x, row);
            break;
        case 2:
            copyRow<std::uint16_t>(m_plane, part.y + y, part.x, row);
            break;
        default:
            copyRow<float>(m_plane, part.y + y, part.x, row);
        }
    }
}

std::optional<PatchSet::Patch> PatchSet::makePatch(const GreyView& reference, int x, int y) const
{
    const int size = m_sizePx;
    const int wide = size + 4;
    std::vector<float> values(static_cast<std::size_t>(wide * wide));
    reference.copy({x - 2, y - 2, wide, wide}, values);
    smooth(values, wide, wide);
    Patch patch;
    patch.x = x;
    patch.y = y;
    for (int v = 0; v < size; ++v) {
        for (int u = 0; u < size; ++u) {
            const float* at = values.data() + std::ptrdiff_t {v + 1} * wide + u + 1;
            patch.shape.push_back(*at);
            patch.alongX.push_back(0.5F * (at[1] - at[-1]));
            patch.alongY.push_back(0.5F * (at[wide] - at[-wide]));
        }
    }
    removeMean(patch.shape);
    patch.shapeEnergy = product(patch.shape, patch.shape.data());
    if (patch.shapeEnergy <= 0.0) {
        return std::nullopt;
    }
    for (auto* gradient : {&patch.alongX, &patch.alongY}) {
        removeMean(*gradient);
        const auto share
            = static_cast<float>(product(patch.shape, gradient->data()) / patch.shapeEnergy);
        for (std::size_t i = 0; i < gradient->size(); ++i) {
            (*gradient)[i] -= share * patch.shape[i];
        }
    }
    patch.xx = product(patch.alongX, patch.alongX.data());
    patch.xy = product(patch.alongX, patch.alongY.data());
    patch.yy = product(patch.alongY, patch.alongY.data());
    return patch;
}

PatchSet::PatchSet(
    const GreyView& reference, int sizePx, std::size_t most, const std::vector<RectPx>& leftOut)
    : m_sizePx(sizePx)
{
    constexpr int border = 2;
    std::vector<Patch> candidates;
    for (int y = border; y + sizePx + border <= reference.heightPx(); y += sizePx) {
        for (int x = border; x + sizePx + border <= reference.widthPx(); x += sizePx) {
            const RectPx place {x, y, sizePx, sizePx};
            if (std::ranges::any_of(
                    leftOut, [&](RectPx out) { return !intersection(out, place).isEmpty(); })) {
                continue;
            }
            if (auto patch = makePatch(reference, x, y)) {
                candidates.push_back(std::move(*patch));
            }
        }
    }
    // Corners fix both directions; edges of either direction help where there are few corners.
    const auto take = [&](std::size_t count, const auto& worth) {
        std::ranges::stable_sort(candidates, std::greater {}, worth);
        count = std::min(count, candidates.size());
        const auto end = candidates.begin() + static_cast<std::ptrdiff_t>(count);
        std::move(candidates.begin(), end, std::back_inserter(m_patches));
        candidates.erase(candidates.begin(), end);
    };
    take(most / 2, [](const Patch& p) { return smallerEigenvalue(p.xx, p.xy, p.yy); });
    take(most / 4, [](const Patch& p) { return p.xx; });
    take(most / 4, [](const Patch& p) { return p.yy; });
}

double PatchSet::vote(const Patch& patch, const float* values, std::size_t width) const
{
    const double pixels = static_cast<double>(m_sizePx) * m_sizePx;
    float sum = 0.0F;
    float squares = 0.0F;
    float common = 0.0F;
    for (int y = 0; y < m_sizePx; ++y) {
        const float* row = values + static_cast<std::size_t>(y) * width;
        const float* shape = patch.shape.data() + std::ptrdiff_t {y} * m_sizePx;
        for (int x = 0; x < m_sizePx; ++x) {
            sum += row[x];
            squares += row[x] * row[x];
            common += shape[x] * row[x];
        }
    }
    const double energy = static_cast<double>(squares)
        - static_cast<double>(sum) * static_cast<double>(sum) / pixels;
    return energy > 0.0 && common > 0.0F
        ? static_cast<double>(common) / std::sqrt(energy * patch.shapeEnergy)
        : 0.0;
}

ShiftPx PatchSet::search(const GreyView& picture, int reach) const
{
    const auto width = static_cast<std::size_t>(picture.widthPx());
    std::vector<float> values(width * static_cast<std::size_t>(picture.heightPx()));
    picture.copy(picture.all(), values);
    smooth(values, picture.widthPx(), picture.heightPx());
    const RectPx smoothed {0, 0, picture.widthPx() - 2, picture.heightPx() - 2};
    ShiftPx best;
    double bestVotes = -1.0;
    for (int dy = -reach; dy <= reach; ++dy) {
        for (int dx = -reach; dx <= reach; ++dx) {
            double votes = 0.0;
            for (const Patch& patch : m_patches) {
                // Smoothing moved values up and left by one.
                const RectPx place {patch.x + dx - 1, patch.y + dy - 1, m_sizePx, m_sizePx};
                if (intersection(place, smoothed) == place) {
                    votes += vote(patch,
                        values.data() + static_cast<std::size_t>(place.y) * width + place.x, width);
                }
            }
            if (votes > bestVotes) {
                bestVotes = votes;
                best = {static_cast<double>(dx), static_cast<double>(dy)};
            }
        }
    }
    return best;
}

PatchSet::Say PatchSet::listen(
    const Patch& patch, const GreyView& picture, ShiftPx at, std::vector<float>& scratch) const
{
    const double left = std::floor(at.x);
    const double top = std::floor(at.y);
    const auto u = static_cast<float>(at.x - left);
    const auto v = static_cast<float>(at.y - top);
    const int size = m_sizePx;
    const int wide = size + 3;
    const RectPx part {
        patch.x - 1 + static_cast<int>(left), patch.y - 1 + static_cast<int>(top), wide, wide};
    if (intersection(part, picture.all()) != part) {
        return {};
    }
    const auto pixels = static_cast<std::size_t>(size) * static_cast<std::size_t>(size);
    scratch.resize(static_cast<std::size_t>(wide * wide) + pixels);
    const std::span<float> values = std::span(scratch).first(static_cast<std::size_t>(wide * wide));
    picture.copy(part, values);
    smooth(values, wide, wide);
    float* between = scratch.data() + values.size();
    float sum = 0.0F;
    for (int y = 0; y < size; ++y) {
        const float* a = values.data() + std::ptrdiff_t {y} * wide;
        const float* b = a + wide;
        for (int x = 0; x < size; ++x) {
            *between = (1.0F - v) * ((1.0F - u) * a[x] + u * a[x + 1])
                + v * ((1.0F - u) * b[x] + u * b[x + 1]);
            sum += *between++;
        }
    }
    between -= pixels;
    const float mean = sum / static_cast<float>(pixels);
    double energy = 0.0;
    for (std::size_t i = 0; i < pixels; ++i) {
        between[i] -= mean;
        energy += static_cast<double>(between[i] * between[i]);
    }
    Say say;
    const double common = product(patch.shape, between);
    say.gain = common / patch.shapeEnergy;
    say.x = product(patch.alongX, between);
    say.y = product(patch.alongY, between);
    say.looks = energy > 0.0 ? common / std::sqrt(energy * patch.shapeEnergy) : 0.0;
    const bool isSeen = say.gain > leastContrast && say.gain < mostContrast && say.looks > 0.0;
    say.weight = isSeen ? say.looks : 0.0;
    return say;
}

// One round: the shift that is left, and how the patches scatter about it.
std::optional<PatchSet::Fit> PatchSet::restOf(std::vector<Say>& says) const
{
    Fit rest;
    double carried = 0.0;
    double all = 0.0;
    constexpr int reweightings = 4;
    for (int round = 0; round < reweightings; ++round) {
        double xx = 0.0;
        double xy = 0.0;
        double yy = 0.0;
        double bx = 0.0;
        double by = 0.0;
        for (std::size_t i = 0; i < says.size(); ++i) {
            const Patch& patch = m_patches[i];
            const double w = says[i].weight * says[i].gain;
            xx += w * says[i].gain * patch.xx;
            xy += w * says[i].gain * patch.xy;
            yy += w * says[i].gain * patch.yy;
            bx += w * says[i].x;
            by += w * says[i].y;
        }
        const double determinant = xx * yy - xy * xy;
        if (!(determinant > 1e-6 * xx * yy)) {
            return std::nullopt;
        }
        rest.shift = {-(yy * bx - xy * by) / determinant, -(xx * by - xy * bx) / determinant};
        double sxx = 0.0;
        double syy = 0.0;
        carried = 0.0;
        all = 0.0;
        for (std::size_t i = 0; i < says.size(); ++i) {
            const Patch& patch = m_patches[i];
            Say& say = says[i];
            const double restX
                = say.x + say.gain * (patch.xx * rest.shift.x + patch.xy * rest.shift.y);
            const double restY
                = say.y + say.gain * (patch.xy * rest.shift.x + patch.yy * rest.shift.y);
            const double trace = patch.xx + patch.yy;
            // Influence of this patch on the shift.
            const double w = say.weight * say.gain / determinant;
            sxx += std::pow(w * (yy * restX - xy * restY), 2);
            syy += std::pow(w * (xx * restY - xy * restX), 2);
            all += trace;
            carried += say.weight * trace;
            if (say.weight > 0.0) {
                const double apart = std::hypot(restX, restY) / (say.gain * trace * halfWeightPx);
                say.weight = say.looks / (1.0 + apart * apart);
            }
        }
        rest.standardErrorPx = std::sqrt(std::max(sxx, syy));
    }
    rest.agreement = carried / all;
    return rest;
}

std::optional<PatchSet::Fit> PatchSet::fit(const GreyView& picture, ShiftPx start) const
{
    if (m_patches.size() < fewestPatches) {
        return std::nullopt;
    }
    std::vector<float> scratch;
    std::vector<Say> says(m_patches.size());
    ShiftPx at = start;
    for (int round = 0; round < mostRounds; ++round) {
        for (std::size_t i = 0; i < m_patches.size(); ++i) {
            says[i] = listen(m_patches[i], picture, at, scratch);
        }
        auto rest = restOf(says);
        if (!rest) {
            return std::nullopt;
        }
        const double step = std::hypot(rest->shift.x, rest->shift.y);
        const double kept = step > farthestStepPx ? farthestStepPx / step : 1.0;
        at.x += kept * rest->shift.x;
        at.y += kept * rest->shift.y;
        if (std::hypot(at.x - start.x, at.y - start.y) > farthestFromStartPx) {
            return std::nullopt;
        }
        if (step < fineEnoughPx || (round + 1 == mostRounds && step < goodEnoughPx)) {
            rest->shift = at;
            return rest->agreement >= leastAgreement ? rest : std::nullopt;
        }
    }
    return std::nullopt;
}

} // namespace twinlamp::trace
