// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/scan_memory.h"

#include <utility>

namespace twinlamp::measure {

using footage::ClipIndex;

namespace {

bool samePanel(const RegionRequest& a, const RegionRequest& b)
{
    return a.panel == b.panel && a.panelCorners == b.panelCorners;
}

// A lamp's lines depend on its region.
bool sameGrids(const RegionRequest& a, const RegionRequest& b)
{
    return a.panelColumns == b.panelColumns && a.panelRows == b.panelRows
        && a.roomColumns == b.roomColumns && a.roomRows == b.roomRows;
}

} // namespace

ScanMemory blankMemory(const ClipIndex& index, const RegionRequest& regions, SettledRegions settled)
{
    ScanMemory memory {index.info.file, index.info.sizeBytes, index.info.modifiedNs, {}, regions,
        {}, std::move(settled), 0.0};
    memory.scan.isComplete = false;
    memory.scan.decoded.assign(static_cast<std::size_t>(index.frameCount()), 0);
    return memory;
}

bool isSameClip(const ScanMemory& memory, const ClipIndex& index)
{
    return memory.file == index.info.file && memory.sizeBytes == index.info.sizeBytes
        && memory.modifiedNs == index.info.modifiedNs;
}

bool sameRegions(const RegionRequest& a, const RegionRequest& b)
{
    return a.reference == b.reference && a.goggle == b.goggle && samePanel(a, b)
        && a.transfer == b.transfer;
}

bool settlesTheSame(const SettledRegions& settled, const MeasureOptions& options)
{
    const MeasureOptions& a = settled.asked;
    return a.reference == options.reference && a.goggle == options.goggle
        && a.panel == options.panel && a.panelCorners == options.panelCorners
        && a.withoutPanel == options.withoutPanel && a.transfer == options.transfer;
}

bool canBeFilledIn(const ScanMemory& memory, const RegionRequest& wanted)
{
    const RegionRequest& read = memory.regions;
    return !memory.scan.isComplete && !memory.scan.decoded.empty() && read.follow == nullptr
        && wanted.follow == nullptr && wanted.room == read.room && sameRegions(read, wanted)
        && sameGrids(read, wanted) && read.referenceRows == wanted.referenceRows
        && read.goggleColumns == wanted.goggleColumns && read.goggleRows == wanted.goggleRows;
}

RegionRequest whatIsMissing(const RegionRequest& wanted, const ScanMemory* memory)
{
    RegionRequest missing = wanted;
    const bool wasFollowed = memory != nullptr && memory->regions.follow != nullptr;
    if (memory == nullptr || !memory->scan.isComplete || wasFollowed != (wanted.follow != nullptr)
        || memory->regions.transfer != wanted.transfer || !sameGrids(memory->regions, wanted)
        || (wasFollowed && !sameRegions(memory->regions, wanted))) {
        return missing;
    }
    if (memory->regions.reference == wanted.reference
        && memory->regions.referenceRows == wanted.referenceRows) {
        missing.reference.reset();
    }
    if (memory->regions.goggle == wanted.goggle
        && memory->regions.goggleColumns == wanted.goggleColumns
        && memory->regions.goggleRows == wanted.goggleRows) {
        missing.goggle.reset();
    }
    if (samePanel(memory->regions, wanted)) {
        missing.panel.reset();
    }
    missing.room = false;
    missing.keepMap = wanted.keepMap && !memory->scan.map;
    return missing;
}

void takeFromMemory(const RegionRequest& scanned, const ScanMemory& memory, RegionLight& light)
{
    if (!scanned.room) {
        light.roomCells = memory.scan.light.roomCells;
    }
    if (light.shift.empty()) {
        light.shift = memory.scan.light.shift;
    }
    if (!scanned.reference) {
        light.reference = memory.scan.light.reference;
        light.referenceHigh = memory.scan.light.referenceHigh;
        light.referenceLines = memory.scan.light.referenceLines;
    }
    if (!scanned.goggle) {
        light.goggle = memory.scan.light.goggle;
        light.goggleHigh = memory.scan.light.goggleHigh;
        light.goggleCells = memory.scan.light.goggleCells;
    }
    if (!scanned.panel) {
        light.panelCells = memory.scan.light.panelCells;
    }
}

std::int64_t memoryBytes(const ScanMemory& memory)
{
    return lightBytesPerFrame(memory.regions)
        * static_cast<std::int64_t>(memory.scan.light.reference.size());
}

} // namespace twinlamp::measure
