// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/contracts.h"
#include "core/measure/scan_store.h"

#include <algorithm>
#include <cstring>
#include <istream>
#include <ostream>
#include <string>
#include <type_traits>

namespace twinlamp::measure {

namespace {

// The number reads otherwise in another byte order. Raise the version when what is written, or what
// the light of a region or block means, changes.
constexpr std::uint64_t mark = 0x544c'4d41'5000'0000;
constexpr std::uint64_t version = 1;

/// FNV-1a over words of eight bytes, the last one of each piece filled up with zeros: as fast as
/// memory, for only damage has to be told, not malice.
class Checksum
{
public:
    void add(const void* data, std::size_t size)
    {
        constexpr std::uint64_t prime = 0x0000'0100'0000'01b3;
        const auto* bytes = static_cast<const char*>(data);
        for (std::size_t at = 0; at < size; at += sizeof(std::uint64_t)) {
            std::uint64_t word = 0;
            std::memcpy(&word, bytes + at, std::min(sizeof(word), size - at));
            m_sum = (m_sum ^ word) * prime;
        }
    }

    [[nodiscard]] std::uint64_t value() const { return m_sum; }

private:
    std::uint64_t m_sum = 0xcbf2'9ce4'8422'2325;
};

class Writer
{
public:
    explicit Writer(std::ostream& out)
        : m_out(out)
    {
    }

    [[nodiscard]] std::uint64_t sum() const { return m_sum.value(); }

    template<typename Value> void operator()(const Value& value)
    {
        static_assert(std::is_trivially_copyable_v<Value>);
        put(&value, sizeof(value));
    }

    template<typename Value> void operator()(const std::vector<Value>& values)
    {
        static_assert(std::is_trivially_copyable_v<Value>);
        (*this)(std::uint64_t {values.size()});
        put(values.data(), values.size() * sizeof(Value));
    }

    void operator()(const std::string& text)
    {
        (*this)(std::uint64_t {text.size()});
        put(text.data(), text.size());
    }

    template<typename Value> void operator()(const std::optional<Value>& value)
    {
        (*this)(std::uint8_t {value.has_value()});
        (*this)(value.value_or(Value {}));
    }

private:
    void put(const void* data, std::size_t size)
    {
        m_sum.add(data, size);
        m_out.write(static_cast<const char*>(data), static_cast<std::streamsize>(size));
    }

    std::ostream& m_out;
    Checksum m_sum;
};

class Reader
{
public:
    /// @param bytes  that are there to be read
    Reader(std::istream& in, std::uint64_t bytes)
        : m_in(in)
        , m_left(bytes)
    {
    }

    [[nodiscard]] bool failed() const { return m_failed; }

    [[nodiscard]] bool atEnd() const { return m_left == 0; }

    [[nodiscard]] std::uint64_t sum() const { return m_sum.value(); }

    template<typename Value> void operator()(Value& value)
    {
        static_assert(std::is_trivially_copyable_v<Value>);
        take(&value, sizeof(value));
    }

    template<typename Value> void operator()(std::vector<Value>& values)
    {
        values.resize(countOf(sizeof(Value)));
        take(values.data(), values.size() * sizeof(Value));
    }

    void operator()(std::string& text)
    {
        text.resize(countOf(1));
        take(text.data(), text.size());
    }

    template<typename Value> void operator()(std::optional<Value>& value)
    {
        std::uint8_t has = 0;
        Value held {};
        (*this)(has);
        (*this)(held);
        value = has != 0 ? std::optional(held) : std::nullopt;
    }

private:
    /// Entries that follow; none where so many are not there.
    std::size_t countOf(std::size_t each)
    {
        std::uint64_t count = 0;
        (*this)(count);
        m_failed = m_failed || count > m_left / each;
        return m_failed ? 0 : static_cast<std::size_t>(count);
    }

    void take(void* to, std::size_t size)
    {
        m_failed = m_failed || size > m_left
            || !m_in.read(static_cast<char*>(to), static_cast<std::streamsize>(size));
        if (!m_failed) {
            m_left -= size;
            m_sum.add(to, size);
        }
    }

    std::istream& m_in;
    std::uint64_t m_left;
    Checksum m_sum;
    bool m_failed = false;
};

/// Everything that is written, once: `part` takes each in turn.
template<typename Part, typename Memory, typename Map>
void eachPart(const Part& part, Memory& memory, Map& map)
{
    part(memory.sizeBytes, memory.modifiedNs, memory.sha256);
    auto& regions = memory.regions;
    part(regions.reference, regions.goggle, regions.panel, regions.panelCorners,
        regions.referenceRows, regions.goggleColumns, regions.goggleRows, regions.panelColumns,
        regions.panelRows, regions.roomColumns, regions.roomRows, regions.transfer);
    auto& light = memory.scan.light;
    part(light.reference, light.referenceHigh, light.referenceLines, light.goggle, light.goggleHigh,
        light.goggleCells, light.panelCells, light.roomCells);
    part(map.widthPx, map.heightPx, map.blockPx, map.frames, map.scale, map.marks, map.isRead,
        map.levels);
}

bool isSound(const ScanMemory& memory, const trace::LightMap& map)
{
    const auto frames = static_cast<std::size_t>(std::max<std::int64_t>(0, map.frames));
    const RegionRequest& regions = memory.regions;
    const RegionLight& light = memory.scan.light;
    const auto fits = [frames](const std::vector<float>& cells, int columns, int rows) {
        return columns >= 1 && rows >= 1
            && cells.size()
            == frames * static_cast<std::size_t>(columns) * static_cast<std::size_t>(rows);
    };
    return frames > 0 && map.widthPx > 0 && map.heightPx > 0 && map.blockPx > 0
        && map.marks.size() == map.blockCount() && map.isRead.size() == frames && map.isComplete()
        && map.levels.size() == frames * map.blockCount() && regions.reference && regions.goggle
        && fits(light.reference, 1, 1) && fits(light.referenceHigh, 1, 1)
        && (regions.referenceRows == 1 || fits(light.referenceLines, 1, regions.referenceRows))
        && fits(light.goggle, 1, 1) && fits(light.goggleHigh, 1, 1)
        && fits(light.goggleCells, regions.goggleColumns, regions.goggleRows)
        && (!regions.panel || fits(light.panelCells, regions.panelColumns, regions.panelRows))
        && fits(light.roomCells, regions.roomColumns, regions.roomRows);
}

} // namespace

void writeScan(std::ostream& out, const ScanMemory& memory)
{
    TL_EXPECTS(memory.scan.map && !memory.regions.follow);
    Writer write(out);
    write(mark);
    write(version);
    eachPart([&](const auto&... values) { (write(values), ...); }, memory, *memory.scan.map);
    write(write.sum());
}

std::optional<ScanMemory> readScan(std::istream& in, std::uint64_t bytes)
{
    Reader read(in, bytes);
    std::uint64_t readMark = 0;
    std::uint64_t readVersion = 0;
    read(readMark);
    read(readVersion);
    if (read.failed() || readMark != mark || readVersion != version) {
        return std::nullopt;
    }
    ScanMemory memory;
    const auto map = std::make_shared<trace::LightMap>();
    eachPart([&](auto&... values) { (read(values), ...); }, memory, *map);
    const std::uint64_t sum = read.sum();
    std::uint64_t readSum = 0;
    read(readSum);
    if (read.failed() || !read.atEnd() || readSum != sum || !isSound(memory, *map)) {
        return std::nullopt;
    }
    memory.regions.room = true;
    memory.scan.map = map;
    return memory;
}

} // namespace twinlamp::measure
