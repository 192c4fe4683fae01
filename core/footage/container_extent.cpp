// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/container_extent.h"

#include <array>
#include <bit>
#include <cstddef>
#include <fstream>
#include <limits>
#include <span>
#include <string_view>

namespace twinlamp::footage {

namespace {

/// Reads a few bytes anywhere in the file.
class ByteReader
{
public:
    explicit ByteReader(const std::filesystem::path& clip)
        : m_file(clip, std::ios::binary)
    {
    }

    template<std::size_t N>
    [[nodiscard]] std::optional<std::array<std::uint8_t, N>> at(std::int64_t position)
    {
        std::array<char, N> raw {};
        m_file.clear();
        m_file.seekg(position);
        if (!m_file.read(raw.data(), raw.size())) {
            return std::nullopt;
        }
        return std::bit_cast<std::array<std::uint8_t, N>>(raw);
    }

private:
    std::ifstream m_file;
};

std::int64_t bigEndian(std::span<const std::uint8_t> bytes)
{
    std::uint64_t value = 0;
    for (const std::uint8_t byte : bytes) {
        value = value << 8U | byte;
    }
    return static_cast<std::int64_t>(value);
}

std::optional<std::int64_t> riffBytes(ByteReader& file)
{
    const auto size = file.at<4>(4);
    if (!size) {
        return std::nullopt;
    }
    constexpr std::int64_t headerBytes = 8;
    const std::array<std::uint8_t, 4> reversed {(*size)[3], (*size)[2], (*size)[1], (*size)[0]};
    const std::int64_t content = bigEndian(reversed);
    return content > 0 ? std::optional(content + headerBytes) : std::nullopt;
}

/// Walks the outermost boxes; the end of the last one that begins inside the file.
std::optional<std::int64_t> isoBytes(ByteReader& file)
{
    constexpr int mostBoxes = 100'000; // fragmented recordings hold two a second or more
    constexpr std::int64_t shortHeaderBytes = 8;
    std::int64_t end = 0;
    for (int box = 0; box < mostBoxes; ++box) {
        const auto header = file.at<8>(end);
        if (!header) {
            return end;
        }
        std::int64_t size = bigEndian(std::span(*header).first<4>());
        if (size == 0) { // up to the end of the file, wherever that is
            return std::nullopt;
        }
        if (size == 1) {
            const auto large = file.at<8>(end + shortHeaderBytes);
            if (!large) {
                return end + 2 * shortHeaderBytes;
            }
            size = bigEndian(*large);
        }
        if (size < shortHeaderBytes || size > std::numeric_limits<std::int64_t>::max() - end) {
            return std::nullopt;
        }
        end += size;
    }
    return std::nullopt;
}

struct ElementSize
{
    std::int64_t content = -1; ///< -1: not known when it was written
    int bytes = 0; ///< that the size itself takes
};

std::optional<ElementSize> elementSize(ByteReader& file, std::int64_t position)
{
    const auto first = file.at<1>(position);
    if (!first || (*first)[0] == 0) {
        return std::nullopt;
    }
    const int bytes = std::countl_zero((*first)[0]) + 1;
    std::uint64_t value = (*first)[0] & (0xFFU >> static_cast<unsigned>(bytes));
    for (int i = 1; i < bytes; ++i) {
        const auto next = file.at<1>(position + i);
        if (!next) {
            return std::nullopt;
        }
        value = value << 8U | (*next)[0];
    }
    const bool unknown = value == (std::uint64_t {1} << (7U * static_cast<unsigned>(bytes))) - 1;
    return ElementSize {unknown ? -1 : static_cast<std::int64_t>(value), bytes};
}

std::optional<std::int64_t> ebmlBytes(ByteReader& file)
{
    constexpr std::int64_t idBytes = 4; // of the EBML header and of the segment
    constexpr std::int64_t segmentId = 0x18538067;
    const auto header = elementSize(file, idBytes);
    if (!header || header->content < 0) {
        return std::nullopt;
    }
    const std::int64_t segment = idBytes + header->bytes + header->content;
    const auto id = file.at<4>(segment);
    const auto size = elementSize(file, segment + idBytes);
    if (!id || bigEndian(*id) != segmentId || !size || size->content < 0) {
        return std::nullopt;
    }
    return segment + idBytes + size->bytes + size->content;
}

} // namespace

std::optional<std::int64_t> announcedBytes(const std::filesystem::path& clip)
{
    ByteReader file(clip);
    const auto head = file.at<8>(0);
    if (!head) {
        return std::nullopt;
    }
    constexpr std::int64_t ebmlId = 0x1A45DFA3;
    const auto start = std::span(*head);
    const std::string_view text(reinterpret_cast<const char*>(head->data()), head->size());
    if (text.starts_with("RIFF")) {
        return riffBytes(file);
    }
    if (bigEndian(start.first<4>()) == ebmlId) {
        return ebmlBytes(file);
    }
    const std::string_view box = text.substr(4);
    const bool isIso = box == "ftyp" || box == "moov" || box == "mdat" || box == "wide"
        || box == "free" || box == "skip";
    return isIso ? isoBytes(file) : std::nullopt;
}

} // namespace twinlamp::footage
