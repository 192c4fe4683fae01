// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/room_light.h"

#include "core/measure/mains.h"
#include "core/onset/edge_finder.h"
#include "core/trace/light_meter.h"
#include "core/trace/noise.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>
#include <spdlog/fmt/fmt.h>
#include <spdlog/spdlog.h>

namespace twinlamp::measure {

using onset::CoarseEdge;

namespace {

// Time after an edge in which lamp or panel may still settle.
constexpr double settlingMs = 40.0;
constexpr std::size_t shortestStretch = 6;
constexpr std::size_t fewestStretches = 4;
constexpr double surelyTold = 5.0;
// Less hides in the noise, and taking it out would change figures for nothing.
constexpr double leastOverNoise = 0.3;
constexpr double leastAgreement = 0.8;
constexpr double leastVariation = 0.003;
constexpr std::size_t fewestCells = 2;

/// Frames [first, last) between edges, and whether the lamp is lit.
struct Stretch
{
    std::size_t first = 0;
    std::size_t last = 0;
    bool isLit = false;
};

std::vector<Stretch> stretchesBetween(
    const std::vector<CoarseEdge>& edges, std::size_t frames, std::size_t settling)
{
    std::vector<Stretch> stretches;
    constexpr std::size_t before = 3;
    std::size_t first = 0;
    bool isLit = !edges.empty() && edges.front().edge == Edge::Off;
    const auto close = [&](std::size_t last) {
        if (last >= first + shortestStretch) {
            stretches.push_back({first, last, isLit});
        }
    };
    for (const CoarseEdge& edge : edges) {
        close(edge.frame - std::min(before, edge.frame));
        first = edge.frame + settling;
        isLit = edge.edge == Edge::On;
    }
    close(frames);
    return stretches;
}

/// Sums of products within one stretch, means taken out.
struct Products
{
    double bb = 0.0;
    double bl = 0.0;
    double ll = 0.0;
    double count = 0.0;

    void operator+=(const Products& o)
    {
        bb += o.bb;
        bl += o.bl;
        ll += o.ll;
        count += o.count;
    }
};

/// A trace in a table: every `step`-th value from `first`.
struct Column
{
    std::span<float> values;
    std::size_t first = 0;
    std::size_t step = 1;

    [[nodiscard]] float& at(std::size_t frame) const { return values[first + frame * step]; }
};

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

struct Share
{
    double k = 0.0;
    double error = 0.0; ///< jackknife over the stretches
    double variation = 0.0; ///< rms of the part explained
    double rest = 0.0; ///< rms of what remains
};

std::optional<Share> shareOf(const std::vector<Products>& parts)
{
    Products all;
    for (const Products& part : parts) {
        all += part;
    }
    if (parts.size() < fewestStretches || all.bb <= 0.0) {
        return std::nullopt;
    }
    Share share;
    share.k = all.bl / all.bb;
    double scatter = 0.0;
    for (const Products& part : parts) {
        const double without = all.bb - part.bb;
        if (without <= 0.0) {
            return std::nullopt;
        }
        scatter += std::pow((all.bl - part.bl) / without - share.k, 2);
    }
    const auto n = static_cast<double>(parts.size());
    share.error = std::sqrt((n - 1.0) / n * scatter);
    share.variation = std::sqrt(share.k * share.k * all.bb / all.count);
    share.rest = std::sqrt(std::max(0.0, all.ll - share.k * all.bl) / all.count);
    return share;
}

/// The share of the room's light in one trace; nothing where it is not certain or does not matter.
std::optional<double> certainShare(
    const std::vector<Stretch>& stretches, std::span<const double> b, const Column& light)
{
    std::vector<Products> all;
    std::vector<Products> lit;
    std::vector<Products> dark;
    for (const Stretch& stretch : stretches) {
        all.push_back(productsIn(stretch, b, light));
        (stretch.isLit ? lit : dark).push_back(all.back());
    }
    const auto share = shareOf(all);
    if (!share || std::abs(share->k) < surelyTold * share->error
        || share->variation < leastOverNoise * share->rest) {
        return std::nullopt;
    }
    const auto whileLit = shareOf(lit);
    const auto whileDark = shareOf(dark);
    if (whileLit && whileDark) {
        const double apart = std::abs(whileLit->k - whileDark->k);
        constexpr double clearly = 3.0;
        constexpr double much = 0.3;
        if (apart > clearly * std::hypot(whileLit->error, whileDark->error)
            && apart > much * std::abs(share->k)) {
            return std::nullopt;
        }
    }
    return share->k;
}

/// The lamp-free part of the picture.
class LampFree
{
public:
    LampFree(const RoomView& view, const RegionRequest& regions, RegionLight& light,
        const std::vector<Stretch>& quiet)
        : m_view(view)
        , m_light(light)
        , m_quiet(quiet)
    {
        for (std::size_t cell = 0; cell < cellCount(); ++cell) {
            if (isClear(cell, regions) && !stepsWithLamps(cell)) {
                m_cells.push_back(cell);
            }
        }
    }

    /// Both halves of the part see the same light vary, by more than a trifle.
    [[nodiscard]] bool varies() const
    {
        if (m_cells.size() < 2 * fewestCells) {
            return false;
        }
        std::vector<std::size_t> odd;
        std::vector<std::size_t> even;
        for (std::size_t i = 0; i < m_cells.size(); ++i) {
            (i % 2 == 0 ? even : odd).push_back(m_cells[i]);
        }
        const std::vector<double> one = meanOf(even);
        const std::vector<double> other = meanOf(odd);
        std::vector<float> narrow(other.begin(), other.end());
        Products sums;
        for (const Stretch& stretch : m_quiet) {
            sums += productsIn(stretch, one, {narrow});
        }
        const double mean = trace::medianOf(one);
        return sums.bl > leastAgreement * std::sqrt(sums.bb * sums.ll) && mean > 0.0
            && sums.bb > std::pow(leastVariation * mean, 2) * sums.count;
    }

    [[nodiscard]] std::vector<double> all() const { return meanOf(m_cells); }

    /// Mean light of the cells on these rows, minus its mean over time; from rows further off only
    /// where these rows have too few.
    [[nodiscard]] std::vector<double> onRows(int top, int bottom) const
    {
        std::vector<std::size_t> near;
        std::vector<double> shared; // rows in common with each cell
        for (int further = 0; near.size() < fewestCells && further < m_view.picture.height;
             further += std::max(1, m_view.picture.height / m_view.rows)) {
            near.clear();
            shared.clear();
            for (const std::size_t cell : m_cells) {
                const RectPx place = placeOf(cell);
                const int rows
                    = std::min(place.bottom(), bottom + further) - std::max(place.y, top - further);
                if (rows > 0) {
                    near.push_back(cell);
                    shared.push_back(rows);
                }
            }
        }
        std::vector<double> light = meanOf(near, shared);
        const double mean = meanFinite(light);
        for (double& value : light) {
            value -= mean;
        }
        return light;
    }

private:
    [[nodiscard]] std::size_t cellCount() const
    {
        return static_cast<std::size_t>(m_view.columns) * static_cast<std::size_t>(m_view.rows);
    }

    [[nodiscard]] RectPx placeOf(std::size_t cell) const
    {
        const auto columns = static_cast<std::size_t>(m_view.columns);
        return trace::cellOf({m_view.picture, m_view.columns, m_view.rows, 0},
            static_cast<int>(cell % columns), static_cast<int>(cell / columns));
    }

    [[nodiscard]] Column columnOf(std::size_t cell) const
    {
        return {m_light.roomCells, cell, cellCount()};
    }

    [[nodiscard]] bool isClear(std::size_t cell, const RegionRequest& regions) const
    {
        for (const auto& region : {regions.reference, regions.goggle, regions.panel}) {
            if (!region) {
                continue;
            }
            const int margin = std::max(4, std::min(region->width, region->height) / 4);
            const RectPx around {region->x - margin, region->y - margin, region->width + 2 * margin,
                region->height + 2 * margin};
            if (!intersection(around, placeOf(cell)).isEmpty()) {
                return false;
            }
        }
        return true;
    }

    // Level over a stretch; the room's own swings average out over many edges.
    [[nodiscard]] bool stepsWithLamps(std::size_t cell) const
    {
        const Column light = columnOf(cell);
        std::vector<double> levels;
        for (const Stretch& stretch : m_quiet) {
            double sum = 0.0;
            for (std::size_t k = stretch.first; k < stretch.last; ++k) {
                sum += static_cast<double>(light.at(k));
            }
            levels.push_back(sum / static_cast<double>(stretch.last - stretch.first));
        }
        double sum = 0.0;
        double squares = 0.0;
        double count = 0.0;
        for (std::size_t i = 1; i < levels.size(); ++i) {
            if (m_quiet[i].isLit == m_quiet[i - 1].isLit) {
                continue;
            }
            const double step = (m_quiet[i].isLit ? 1.0 : -1.0) * (levels[i] - levels[i - 1]);
            if (std::isfinite(step)) {
                sum += step;
                squares += step * step;
                count += 1.0;
            }
        }
        constexpr double clearly = 3.0;
        if (count < 2.0) {
            return true;
        }
        const double mean = sum / count;
        const double error
            = std::sqrt(std::max(0.0, squares / count - mean * mean) / (count - 1.0));
        return std::abs(mean) > clearly * error;
    }

    [[nodiscard]] std::vector<double> meanOf(const std::vector<std::size_t>& cells) const
    {
        return meanOf(cells, std::vector<double>(cells.size(), 1.0));
    }

    [[nodiscard]] std::vector<double> meanOf(
        const std::vector<std::size_t>& cells, const std::vector<double>& weights) const
    {
        const double all = std::accumulate(weights.begin(), weights.end(), 0.0);
        std::vector<double> mean(m_view.startMs.size(), 0.0);
        for (std::size_t k = 0; k < mean.size(); ++k) {
            for (std::size_t i = 0; i < cells.size(); ++i) {
                mean[k] += weights[i] * static_cast<double>(columnOf(cells[i]).at(k));
            }
            mean[k] /= all;
        }
        return mean;
    }

    static double meanFinite(const std::vector<double>& values)
    {
        double sum = 0.0;
        double count = 0.0;
        for (const double value : values) {
            if (std::isfinite(value)) {
                sum += value;
                count += 1.0;
            }
        }
        return count > 0.0 ? sum / count : 0.0;
    }

    const RoomView& m_view;
    RegionLight& m_light;
    const std::vector<Stretch>& m_quiet;
    std::vector<std::size_t> m_cells;
};

/// Removes the room's light from one trace. @return whether there was any
bool removeFrom(
    const Column& light, const std::vector<Stretch>& stretches, std::span<const double> b)
{
    const auto k = certainShare(stretches, b, light);
    if (!k) {
        return false;
    }
    for (std::size_t frame = 0; frame < b.size(); ++frame) {
        light.at(frame) -= static_cast<float>(*k * b[frame]);
    }
    return true;
}

double fittedShare(
    const std::vector<Stretch>& stretches, std::span<const double> b, const Column& light)
{
    Products all;
    for (const Stretch& stretch : stretches) {
        all += productsIn(stretch, b, light);
    }
    return all.bb > 0.0 ? all.bl / all.bb : 0.0;
}

/// Removes the room's light from each cell of a region that is known to have it: from all alike,
/// for a grid of which a part still flickers shows a motion that is none.
void removeFromGrid(const LampFree& room, const trace::MeterRegion& grid, std::vector<float>& cells,
    const std::vector<Stretch>& stretches)
{
    const auto wide = static_cast<std::size_t>(grid.columns);
    const auto count = wide * static_cast<std::size_t>(grid.rows);
    std::vector<double> b;
    for (int row = 0; row < grid.rows; ++row) {
        for (std::size_t column = 0; column < wide; ++column) {
            // Cells of a turned panel lie on stored rows of their own.
            if (column == 0 || grid.corners) {
                const RectPx place = trace::cellOf(grid, static_cast<int>(column), row);
                b = room.onRows(place.y, place.bottom());
            }
            const std::size_t cell = static_cast<std::size_t>(row) * wide + column;
            const Column light {cells, cell, count};
            const double k = fittedShare(stretches, b, light);
            for (std::size_t frame = 0; frame < b.size(); ++frame) {
                light.at(frame) -= static_cast<float>(k * b[frame]);
            }
        }
    }
}

// Mean over all cells of a grid, frame by frame.
std::vector<float> meanOfGrid(const std::vector<float>& cells, std::size_t frames)
{
    const std::size_t count = cells.size() / frames;
    std::vector<float> mean(frames);
    for (std::size_t k = 0; k < frames; ++k) {
        const auto* first = cells.data() + k * count;
        mean[k] = std::accumulate(first, first + count, 0.0F) / static_cast<float>(count);
    }
    return mean;
}

std::vector<CoarseEdge> merged(
    const std::vector<CoarseEdge>& reference, const std::vector<CoarseEdge>& goggle)
{
    std::vector<CoarseEdge> all = reference;
    all.insert(all.end(), goggle.begin(), goggle.end());
    std::ranges::stable_sort(all, {}, &CoarseEdge::frame);
    return all;
}

Sentence noteOf(
    std::span<const double> startMs, const std::vector<double>& room, const std::string& from)
{
    if (const auto hz = mainsFlickerHz(startMs, room)) {
        return {"mains-removed", {fmt::format("{:.0f}", *hz), from}};
    }
    return {"room-light-removed", {from}};
}

} // namespace

std::vector<Sentence> removeRoomLight(
    const RoomView& view, const RegionRequest& regions, RegionLight& light)
{
    const std::size_t frames = view.startMs.size();
    if (light.roomCells.empty() || frames < 2 || !regions.reference || !regions.goggle) {
        return {};
    }
    const double intervalMs
        = (view.startMs.back() - view.startMs.front()) / static_cast<double>(frames - 1);
    const auto settling = static_cast<std::size_t>(std::ceil(settlingMs / intervalMs)) + 1;
    const auto lag = std::max<std::size_t>(1, settling - 1);
    const auto reference = onset::findEdges(light.reference, 1).edges;
    const auto goggle = onset::findEdges(light.goggle, lag).edges;
    if (reference.empty() || goggle.empty()) {
        return {};
    }
    // Where neither lamp is about to switch or settle: the later edge says which state it is.
    const auto quiet = stretchesBetween(merged(reference, goggle), frames, settling);
    const LampFree room(view, regions, light, quiet);
    if (!room.varies()) {
        return {};
    }
    const auto ofReference = stretchesBetween(reference, frames, settling);
    const auto ofGoggle = stretchesBetween(goggle, frames, settling);
    std::string from;
    const auto tell = [&](bool removed, const char* name) {
        if (removed) {
            from += (from.empty() ? "" : ", ") + std::string(name);
        }
    };
    tell(removeFrom({light.reference}, ofReference,
             room.onRows(regions.reference->y, regions.reference->bottom())),
        "reference lamp");
    const bool fromGoggle = removeFrom(
        {light.goggle}, ofGoggle, room.onRows(regions.goggle->y, regions.goggle->bottom()));
    if (fromGoggle && !light.goggleCells.empty()) {
        removeFromGrid(room, {*regions.goggle, regions.goggleColumns, regions.goggleRows},
            light.goggleCells, ofGoggle);
    }
    tell(fromGoggle, "goggle lamp");
    if (regions.panel && !light.panelCells.empty()) {
        std::vector<float> mean = meanOfGrid(light.panelCells, frames);
        const bool fromPanel
            = removeFrom({mean}, ofGoggle, room.onRows(regions.panel->y, regions.panel->bottom()));
        if (fromPanel) {
            removeFromGrid(room,
                {*regions.panel, regions.panelColumns, regions.panelRows, 1, regions.panelCorners},
                light.panelCells, ofGoggle);
        }
        tell(fromPanel, "panel");
    }
    if (from.empty()) {
        return {};
    }
    return {noteOf(view.startMs, room.all(), from)};
}

} // namespace twinlamp::measure
