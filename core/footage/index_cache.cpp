// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/index_cache.h"

#include "core/footage/av_compat.h"
#include "core/footage/clip_open.h"
#include "core/footage/file_hash.h"

#include <algorithm>
#include <fstream>
#include <iterator>
#include <spdlog/fmt/fmt.h>
#include <spdlog/spdlog.h>
#include <sys/stat.h>
#include <system_error>
#include <unistd.h>

namespace twinlamp::footage {

namespace {

namespace fs = std::filesystem;

constexpr std::int64_t mib = std::int64_t {1} << 20U;
// Raise when packIndex or what an index means changes.
constexpr int indexVersion = 2;
// About a kilobyte to some megabytes each; the oldest go first.
constexpr std::size_t mostKeptIndexes = 500;

std::optional<std::string> hashOfEnds(const fs::path& clip, std::int64_t size)
{
    std::ifstream file(clip, std::ios::binary);
    Sha256 sum;
    std::vector<char> block(static_cast<std::size_t>(std::min(size, mib)));
    for (const std::int64_t position : {std::int64_t {0}, std::max<std::int64_t>(0, size - mib)}) {
        file.seekg(position);
        if (!file.read(block.data(), static_cast<std::streamsize>(block.size()))) {
            return std::nullopt;
        }
        sum.add({reinterpret_cast<const std::uint8_t*>(block.data()), block.size()});
    }
    return sum.hex();
}

fs::path pathOf(const fs::path& cacheFolder, const std::string& key)
{
    return cacheFolder / (key + ".index");
}

void dropOldest(const fs::path& cacheFolder)
{
    std::error_code ignored;
    std::vector<std::pair<fs::file_time_type, fs::path>> kept;
    for (const fs::directory_entry& entry : fs::directory_iterator(cacheFolder, ignored)) {
        if (entry.path().extension() == ".index") {
            kept.emplace_back(entry.last_write_time(ignored), entry.path());
        }
    }
    if (kept.size() <= mostKeptIndexes) {
        return;
    }
    std::ranges::sort(kept);
    for (std::size_t i = 0; i < kept.size() - mostKeptIndexes; ++i) {
        fs::remove(kept[i].second, ignored);
    }
}

} // namespace

std::optional<std::string> indexCacheKey(const fs::path& clip)
{
    struct stat status
    {
    };

    // Opening a pipe would wait for somebody who writes into it.
    if (::stat(clip.c_str(), &status) != 0 || !S_ISREG(status.st_mode)) {
        return std::nullopt;
    }
    const auto ends = hashOfEnds(clip, status.st_size);
    if (!ends) {
        return std::nullopt;
    }
    const std::string text = fmt::format("{} {}.{:09} {} {} {}", status.st_size,
        status.st_mtim.tv_sec, status.st_mtim.tv_nsec, *ends, libavVersion(), indexVersion);
    return sha256Of({reinterpret_cast<const std::uint8_t*>(text.data()), text.size()});
}

std::optional<ClipIndex> loadIndex(const fs::path& cacheFolder, const std::string& key)
{
    std::ifstream file(pathOf(cacheFolder, key), std::ios::binary);
    if (!file) {
        return std::nullopt;
    }
    const std::vector<char> raw {
        std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
    auto index = unpackIndex({raw.begin(), raw.end()});
    if (!index) {
        spdlog::info("a kept index is damaged and will be made again: {}", key);
    }
    return index;
}

void storeIndex(const fs::path& cacheFolder, const std::string& key, const ClipIndex& index)
{
    std::error_code failed;
    fs::create_directories(cacheFolder, failed);
    const fs::path target = pathOf(cacheFolder, key);
    fs::path aside = target;
    // Two programs may index the same clip at the same time.
    aside += fmt::format(".{}.part", ::getpid());
    const std::vector<std::uint8_t> bytes = packIndex(index);
    {
        std::ofstream file(aside, std::ios::binary | std::ios::trunc);
        file.write(reinterpret_cast<const char*>(bytes.data()),
            static_cast<std::streamsize>(bytes.size()));
        file.flush();
        if (!file) {
            spdlog::warn(
                "the index cache {} cannot be written; going on without it", cacheFolder.string());
            fs::remove(aside, failed);
            return;
        }
    }
    fs::rename(aside, target, failed);
    if (failed) {
        spdlog::warn("an index could not be kept: {}", failed.message());
        fs::remove(aside, failed);
    }
    dropOldest(cacheFolder);
}

} // namespace twinlamp::footage
