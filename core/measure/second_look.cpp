// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/second_look.h"

#include "core/measure/map_lamp.h"
#include "core/measure/map_panel.h"
#include "core/measure/scan_memory.h"

#include <spdlog/spdlog.h>

namespace twinlamp::measure {

namespace {

bool hasWholeMap(const ScanMemory& memory)
{
    return memory.scan.map && memory.scan.isComplete && memory.scan.missing.empty()
        && !memory.regions.follow && memory.regions.reference && memory.regions.goggle;
}

bool takeReference(
    const RegionRequest& wanted, const ScanMemory& memory, MapBlocks& blocks, RegionLight& light)
{
    const RegionLight& read = memory.scan.light;
    const bool isOneLine = memory.regions.referenceRows == 1;
    auto told = lampFromMap(blocks, {*wanted.reference, 1, wanted.referenceRows},
        {{*memory.regions.reference, 1, memory.regions.referenceRows}, read.reference,
            read.referenceHigh, isOneLine ? read.reference : read.referenceLines});
    if (told) {
        light.reference = std::move(told->light);
        light.referenceHigh = std::move(told->high);
        light.referenceLines = std::move(told->cells);
    }
    return told.has_value();
}

bool takeGoggle(
    const RegionRequest& wanted, const ScanMemory& memory, MapBlocks& blocks, RegionLight& light)
{
    const RegionLight& read = memory.scan.light;
    const RegionRequest& regions = memory.regions;
    auto told = lampFromMap(blocks, {*wanted.goggle, wanted.goggleColumns, wanted.goggleRows},
        {{*regions.goggle, regions.goggleColumns, regions.goggleRows}, read.goggle, read.goggleHigh,
            read.goggleCells});
    if (told) {
        light.goggle = std::move(told->light);
        light.goggleHigh = std::move(told->high);
        light.goggleCells = told->cells.empty() ? light.goggle : std::move(told->cells);
    }
    return told.has_value();
}

bool takePanel(const RegionRequest& wanted, MapBlocks& blocks, RegionLight& light)
{
    auto told = panelFromMap(
        blocks, {*wanted.panel, wanted.panelCorners, wanted.panelColumns, wanted.panelRows});
    if (told) {
        light.panelCells = std::move(*told);
    }
    return told.has_value();
}

} // namespace

std::optional<SecondLook> secondLook(const RegionRequest& wanted, const ScanMemory& memory)
{
    const RegionRequest missing = whatIsMissing(wanted, &memory);
    if (!hasWholeMap(memory) || memory.regions.transfer != wanted.transfer || wanted.follow
        || !(missing.reference || missing.goggle || missing.panel)) {
        return std::nullopt;
    }
    SecondLook look;
    MapBlocks blocks(*memory.scan.map);
    const auto told = [&](bool isWanted, const char* name, auto take) {
        if (!isWanted) {
            return true;
        }
        look.fromMap.emplace_back(name);
        return static_cast<bool>(take());
    };
    RegionLight& light = look.scan.light;
    if (!told(missing.reference.has_value(), "reference lamp",
            [&] { return takeReference(wanted, memory, blocks, light); })
        || !told(missing.goggle.has_value(), "goggle lamp",
            [&] { return takeGoggle(wanted, memory, blocks, light); })
        || !told(
            missing.panel.has_value(), "panel", [&] { return takePanel(wanted, blocks, light); })) {
        spdlog::debug("second look: the map does not suffice for the {}", look.fromMap.back());
        return std::nullopt;
    }
    takeFromMemory(missing, memory, light);
    return look;
}

} // namespace twinlamp::measure
