// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/room_light.h"

#include "core/measure/lamp_free.h"
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
/// @param thresholds  part of the usual ones that is enough
std::optional<double> certainShare(const std::vector<Stretch>& stretches, std::span<const double> b,
    const Column& light, double thresholds = 1.0)
{
    std::vector<Products> all;
    std::vector<Products> lit;
    std::vector<Products> dark;
    for (const Stretch& stretch : stretches) {
        all.push_back(productsIn(stretch, b, light));
        (stretch.isLit ? lit : dark).push_back(all.back());
    }
    const auto share = shareOf(all);
    if (!share || std::abs(share->k) < thresholds * surelyTold * share->error
        || share->variation < thresholds * leastOverNoise * share->rest) {
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

// Each stretch is lit as the last of these edges before it says.
std::vector<Stretch> litBy(const std::vector<CoarseEdge>& edges, std::vector<Stretch> stretches)
{
    for (Stretch& stretch : stretches) {
        const auto next = std::ranges::upper_bound(edges, stretch.first, {}, &CoarseEdge::frame);
        stretch.isLit
            = next == edges.begin() ? next->edge == Edge::Off : std::prev(next)->edge == Edge::On;
    }
    return stretches;
}

// Where neither lamp is about to switch or settle. @pre neither is empty
QuietStretches quietBetween(const std::vector<CoarseEdge>& reference,
    const std::vector<CoarseEdge>& goggle, std::size_t frames, std::size_t settling)
{
    std::vector<CoarseEdge> all = reference;
    all.insert(all.end(), goggle.begin(), goggle.end());
    std::ranges::stable_sort(all, {}, &CoarseEdge::frame);
    const auto stretches = stretchesBetween(all, frames, settling);
    return {litBy(reference, stretches), litBy(goggle, stretches)};
}

struct LampEdges
{
    std::vector<CoarseEdge> reference;
    std::vector<CoarseEdge> goggle;
    std::size_t settling = 0; ///< frames after each that are not quiet
};

// Nothing without edges of both lamps, or without the room.
std::optional<LampEdges> lampEdges(
    const RoomView& view, const RegionRequest& regions, const RegionLight& light)
{
    const std::size_t frames = view.startMs.size();
    if (light.roomCells.empty() || frames < 2 || !regions.reference || !regions.goggle) {
        return std::nullopt;
    }
    const double intervalMs
        = (view.startMs.back() - view.startMs.front()) / static_cast<double>(frames - 1);
    LampEdges edges;
    edges.settling = static_cast<std::size_t>(std::ceil(settlingMs / intervalMs)) + 1;
    const auto lag = std::max<std::size_t>(1, edges.settling - 1);
    edges.reference = onset::findEdges(light.reference, 1).edges;
    edges.goggle = onset::findEdges(light.goggle, lag).edges;
    return edges.reference.empty() || edges.goggle.empty() ? std::nullopt
                                                           : std::optional(std::move(edges));
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

bool roomMayMatter(const RoomView& view, const RegionRequest& regions, RegionLight& light)
{
    const std::size_t frames = view.startMs.size();
    const auto edges = lampEdges(view, regions, light);
    if (!edges) {
        return true;
    }
    const auto& [reference, goggle, settling] = *edges;
    const QuietStretches quiet = quietBetween(reference, goggle, frames, settling);
    const LampFree room(view, regions, light, quiet);
    // A part of the frames tells less surely than all of them.
    constexpr double possibly = 0.6;
    if (!room.varies(possibly)) {
        return false;
    }
    const auto matters = [&](const std::vector<Stretch>& stretches, const Column& of, RectPx rows) {
        return certainShare(stretches, room.onRows(rows.y, rows.bottom()), of, possibly)
            .has_value();
    };
    const auto ofGoggle = stretchesBetween(goggle, frames, settling);
    if (matters(
            stretchesBetween(reference, frames, settling), {light.reference}, *regions.reference)
        || matters(ofGoggle, {light.goggle}, *regions.goggle)) {
        return true;
    }
    if (!regions.panel || light.panelCells.empty()) {
        return false;
    }
    std::vector<float> mean = meanOfGrid(light.panelCells, frames);
    return matters(ofGoggle, {mean}, *regions.panel);
}

std::vector<Sentence> removeRoomLight(
    const RoomView& view, const RegionRequest& regions, RegionLight& light)
{
    const std::size_t frames = view.startMs.size();
    const auto edges = lampEdges(view, regions, light);
    if (!edges) {
        return {};
    }
    const auto& [reference, goggle, settling] = *edges;
    const QuietStretches quiet = quietBetween(reference, goggle, frames, settling);
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
