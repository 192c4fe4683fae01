// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/scan_store.h"

#include "core/footage/index_cache.h"

#include <algorithm>
#include <fstream>
#include <spdlog/fmt/fmt.h>
#include <spdlog/spdlog.h>
#include <system_error>
#include <unistd.h>
#include <vector>

namespace twinlamp::measure {

namespace {

namespace fs = std::filesystem;

constexpr auto suffix = ".lightmap";
constexpr auto asideSuffix = ".part";

fs::path pathOf(const fs::path& folder, const std::string& key) { return folder / (key + suffix); }

struct KeptFile
{
    fs::file_time_type used;
    fs::path path;
    std::int64_t bytes = 0;
};

// Those that a stopped program left half-written count as well: they are large.
void dropLongestUnused(const fs::path& folder, std::int64_t mostBytes)
{
    std::error_code ignored;
    std::vector<KeptFile> kept;
    std::int64_t bytes = 0;
    for (const fs::directory_entry& entry : fs::directory_iterator(folder, ignored)) {
        const fs::path extension = entry.path().extension();
        if (extension == suffix || extension == asideSuffix) {
            kept.push_back({entry.last_write_time(ignored), entry.path(),
                static_cast<std::int64_t>(entry.file_size(ignored))});
            bytes += kept.back().bytes;
        }
    }
    std::ranges::sort(kept, {}, &KeptFile::used);
    for (const KeptFile& file : kept) {
        if (bytes <= mostBytes) {
            return;
        }
        fs::remove(file.path, ignored);
        bytes -= file.bytes;
    }
}

bool canBeKept(const ScanMemory& memory)
{
    return memory.scan.map && memory.scan.isComplete && memory.scan.missing.empty()
        && !memory.regions.follow && memory.regions.reference && memory.regions.goggle
        && !memory.scan.light.roomCells.empty();
}

/// The bulk of what is written.
std::int64_t bytesOf(const ScanMemory& memory)
{
    const trace::LightMap& map = *memory.scan.map;
    return lightBytesPerFrame(memory.regions) * map.frames
        + trace::mapBytes(map.widthPx, map.heightPx, map.frames);
}

} // namespace

fs::path defaultMapFolder()
{
    const fs::path indexes = footage::defaultIndexCacheFolder();
    return indexes.empty() ? fs::path {} : indexes.parent_path() / "map";
}

void storeScan(
    const fs::path& folder, const fs::path& clip, const ScanMemory& memory, std::int64_t mostBytes)
{
    const auto key = footage::indexCacheKey(clip);
    if (folder.empty() || !key || !canBeKept(memory) || bytesOf(memory) > mostBytes) {
        return;
    }
    std::error_code failed;
    fs::create_directories(folder, failed);
    const fs::path target = pathOf(folder, *key);
    // Two programs may measure the same clip at the same time.
    fs::path aside = target;
    aside += fmt::format(".{}{}", ::getpid(), asideSuffix);
    {
        std::ofstream file(aside, std::ios::binary | std::ios::trunc);
        writeScan(file, memory);
        file.flush();
        if (!file) {
            spdlog::warn("light maps cannot be kept in {}; going on without", folder.string());
            fs::remove(aside, failed);
            return;
        }
    }
    fs::rename(aside, target, failed);
    if (failed) {
        spdlog::warn("a light map could not be kept: {}", failed.message());
        fs::remove(aside, failed);
    }
    dropLongestUnused(folder, mostBytes);
}

std::shared_ptr<const ScanMemory> loadScan(
    const fs::path& folder, const fs::path& clip, const footage::ClipIndex& index)
{
    const auto key = footage::indexCacheKey(clip);
    if (folder.empty() || !key) {
        return nullptr;
    }
    const fs::path path = pathOf(folder, *key);
    std::ifstream file(path, std::ios::binary | std::ios::ate);
    if (!file) {
        return nullptr;
    }
    const auto bytes
        = static_cast<std::uint64_t>(std::max<std::streamoff>(0, std::streamoff {file.tellg()}));
    file.seekg(0);
    auto memory = readScan(file, bytes);
    const auto& orientation = index.info.orientation;
    if (!memory) {
        spdlog::info("a kept light map is damaged or of another version: {}", path.string());
        return nullptr;
    }
    if (memory->sizeBytes != index.info.sizeBytes || memory->modifiedNs != index.info.modifiedNs
        || memory->scan.map->frames != index.frameCount()
        || memory->scan.map->widthPx != orientation.storedWidthPx
        || memory->scan.map->heightPx != orientation.storedHeightPx) {
        return nullptr;
    }
    std::error_code ignored;
    fs::last_write_time(path, fs::file_time_type::clock::now(), ignored);
    memory->file = index.info.file;
    return std::make_shared<const ScanMemory>(std::move(*memory));
}

} // namespace twinlamp::measure
