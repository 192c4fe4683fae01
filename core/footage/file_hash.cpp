// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/file_hash.h"

#include "core/base/contracts.h"
#include "core/footage/clip_open.h"
#include "core/footage/frame_index.h"

extern "C" {
#include <libavutil/mem.h>
#include <libavutil/sha.h>
}

#include <array>
#include <cerrno>
#include <cstdio>
#include <cstring>
#include <spdlog/fmt/fmt.h>
#include <sys/stat.h>
#include <system_error>

namespace twinlamp::footage {

namespace {

struct FileCloser
{
    void operator()(std::FILE* file) const
    {
        std::fclose(file); // NOLINT: read only, nothing to lose
    }
};

} // namespace

void Sha256::Free::operator()(AVSHA* state) const { av_free(state); }

Sha256::Sha256()
    : m_state(av_sha_alloc())
{
    constexpr int bits = 256;
    TL_EXPECTS(m_state != nullptr && av_sha_init(m_state.get(), bits) == 0);
}

void Sha256::add(std::span<const std::uint8_t> bytes)
{
    av_sha_update(m_state.get(), bytes.data(), bytes.size());
}

std::string Sha256::hex()
{
    std::array<std::uint8_t, 32> digest {};
    av_sha_final(m_state.get(), digest.data());
    std::string text;
    for (const std::uint8_t byte : digest) {
        text += fmt::format("{:02x}", byte);
    }
    return text;
}

std::string sha256Of(std::span<const std::uint8_t> bytes)
{
    Sha256 sum;
    sum.add(bytes);
    return sum.hex();
}

JobResult<std::string> sha256OfFile(const std::filesystem::path& file, const JobControl& control)
{
    struct stat status
    {
    };

    if (::stat(file.c_str(), &status) != 0) {
        const bool missing = errno == ENOENT || errno == ENOTDIR;
        return footageError(missing ? Cause::NotFound : Cause::NoAccess, file,
            missing ? "was not found; check the name, or whether it was moved."
                    : "may not be read; change its permissions or those of its folder.");
    }
    // Opening a pipe would wait for somebody who writes into it.
    const std::unique_ptr<std::FILE, FileCloser> stream(
        S_ISREG(status.st_mode) ? std::fopen(file.c_str(), "rbe") : nullptr);
    if (!stream) {
        return footageError(Cause::NoAccess, file,
            "may not be read; change its permissions or those of its folder.");
    }
    constexpr std::size_t blockBytes = std::size_t {1} << 20U;
    std::vector<std::uint8_t> block(blockBytes);
    Sha256 sum;
    std::int64_t done = 0;
    std::size_t got = 0;
    while ((got = std::fread(block.data(), 1, block.size(), stream.get())) > 0) {
        sum.add({block.data(), got});
        done += static_cast<std::int64_t>(got);
        if (!control.tick(done, status.st_size)) {
            return Cancelled {};
        }
    }
    if (std::ferror(stream.get()) != 0) {
        return footageError(Cause::NoAccess, file, "could not be read to its end; check the disk.");
    }
    return sum.hex();
}

} // namespace twinlamp::footage
