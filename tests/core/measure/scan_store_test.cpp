// SPDX-License-Identifier: GPL-3.0-or-later
// Scans with their light maps in the cache folder.
#include "core/film/film.h"
#include "core/film/studio.h"
#include "core/measure/clip_measurement.h"
#include "core/measure/scan_store.h"
#include "tests/support/temporary_folder.h"

#include <algorithm>
#include <chrono>
#include <fstream>
#include <gtest/gtest.h>
#include <sstream>

namespace twinlamp::measure {
namespace {

namespace fs = std::filesystem;

class KeptScan : public testing::Test
{
protected:
    KeptScan()
    {
        const auto scene = film::parseScene(
            R"({"seed": 4, "picture": {"width": 256, "height": 144}, "duration_ms": 900,
            "lamps": {"programme": {"kind": "random", "presses": 2, "start_ms": 150,
              "hold_ms": [120, 160], "gap_ms": [120, 160]}},
            "reference_lamp": {"x": 52, "y": 70, "radius_px": 10},
            "panel": {"rect": [110, 20, 130, 110], "lamp_image": {"radius_px": 11}},
            "camera": {"capture_rate": 240, "exposure_ms": 2.8}})",
            "test.json");
        EXPECT_TRUE(scene.has_value());
        m_regions = film::Studio(*scene).regions();
        EXPECT_TRUE(film::filmScene(*scene, clip(), {}).hasValue());
    }

    [[nodiscard]] fs::path clip() const { return m_folder / "clip.mp4"; }

    [[nodiscard]] footage::ClipIndex index() const
    {
        auto index = footage::indexClip(clip(), {}, {});
        EXPECT_TRUE(index.hasValue());
        return std::move(index).value();
    }

    [[nodiscard]] Measurement measured(bool keep, bool lookAgain = false, int moved = 0) const
    {
        MeasureOptions options;
        options.captureRate = FrameRate {240, 1};
        options.reference = m_regions.reference;
        options.goggle = m_regions.goggle;
        options.panel = m_regions.panel;
        options.panel->height -= moved;
        options.threads = 1;
        auto measurement
            = measureClip(clip(), options, {}, {}, nullptr, {keep, m_maps.path(), lookAgain});
        EXPECT_TRUE(measurement.hasValue());
        return measurement.hasValue() ? std::move(measurement).value() : Measurement {};
    }

    [[nodiscard]] std::vector<fs::path> kept() const
    {
        return {fs::directory_iterator(m_maps.path()), fs::directory_iterator()};
    }

    tests::TemporaryFolder m_folder;
    tests::TemporaryFolder m_maps;
    RegionSet m_regions;
};

TEST_F(KeptScan, ServesTheNextRunOfTheProgram)
{
    const Measurement first = measured(true);
    ASSERT_EQ(kept().size(), 1U);
    const Measurement same = measured(true, true);
    EXPECT_EQ(same.result.scan.framesDecoded, 0);
    EXPECT_EQ(same.result.presses, first.result.presses);
    EXPECT_EQ(same.result.traces, first.result.traces);
    EXPECT_EQ(same.result.clip, first.result.clip);
    const Measurement moved = measured(true, true, 6);
    EXPECT_EQ(moved.result.scan.framesDecoded, 0);
    EXPECT_TRUE(std::ranges::any_of(
        moved.result.notes, [](const Sentence& note) { return note.id == "second-look"; }));
}

TEST_F(KeptScan, IsNotAskedWhereNobodyLooksAgain)
{
    const Measurement first = measured(true);
    const Measurement plain = measured(false);
    EXPECT_GT(plain.result.scan.framesDecoded, 0);
    EXPECT_EQ(plain.result.presses, first.result.presses);
    EXPECT_EQ(plain.result.notes, first.result.notes);
    EXPECT_EQ(plain.memory->scan.map, nullptr) << "nor is a map made that nobody keeps";
}

TEST_F(KeptScan, ComesBackAsItWas)
{
    const auto memory = measured(true).memory;
    const auto back = loadScan(m_maps.path(), clip(), index());
    ASSERT_TRUE(back);
    EXPECT_EQ(back->file, memory->file);
    EXPECT_EQ(back->sha256, memory->sha256);
    EXPECT_EQ(*back->scan.map, *memory->scan.map);
    EXPECT_EQ(back->scan.light.goggleCells, memory->scan.light.goggleCells);
    EXPECT_EQ(back->scan.light.roomCells, memory->scan.light.roomCells);
    EXPECT_TRUE(sameRegions(back->regions, memory->regions));
    std::ostringstream one;
    std::ostringstream other;
    writeScan(one, *memory);
    writeScan(other, *back);
    EXPECT_EQ(one.str(), other.str());
}

TEST_F(KeptScan, IsMadeAgainWhereItIsDamaged)
{
    const Measurement first = measured(true);
    const fs::path file = kept().front();
    const auto size = fs::file_size(file);
    {
        std::fstream stream(file, std::ios::binary | std::ios::in | std::ios::out);
        stream.seekp(static_cast<std::streamoff>(size / 2));
        stream.write("\x7f\x01\x7f", 3);
    }
    EXPECT_FALSE(loadScan(m_maps.path(), clip(), index()));
    fs::resize_file(file, size / 3);
    EXPECT_FALSE(loadScan(m_maps.path(), clip(), index()));
    std::ofstream(file) << "something else";
    EXPECT_FALSE(loadScan(m_maps.path(), clip(), index()));
    fs::resize_file(file, 0);
    const Measurement again = measured(true, true);
    EXPECT_GT(again.result.scan.framesDecoded, 0);
    EXPECT_EQ(again.result.presses, first.result.presses);
    EXPECT_EQ(fs::file_size(file), size);
    EXPECT_TRUE(loadScan(m_maps.path(), clip(), index()));
}

TEST_F(KeptScan, IsNotTakenForAnotherClip)
{
    static_cast<void>(measured(true));
    fs::last_write_time(clip(), fs::last_write_time(clip()) + std::chrono::seconds(3));
    EXPECT_FALSE(loadScan(m_maps.path(), clip(), index()));
    // The file of this clip's name with another one's scan in it.
    static_cast<void>(measured(true));
    auto files = kept();
    ASSERT_EQ(files.size(), 2U);
    std::ranges::sort(files, {}, [](const fs::path& path) { return fs::last_write_time(path); });
    fs::copy_file(files[0], files[1], fs::copy_options::overwrite_existing);
    EXPECT_FALSE(loadScan(m_maps.path(), clip(), index()));
}

TEST_F(KeptScan, MakesRoomByTheLongestUnused)
{
    const auto memory = measured(true).memory;
    const fs::path own = kept().front();
    const auto size = static_cast<std::int64_t>(fs::file_size(own));
    const auto now = fs::file_time_type::clock::now();
    for (const auto& [name, hours] : {std::pair {"old.lightmap", 3}, std::pair {"left.part", 2},
             std::pair {"new.lightmap", 1}, std::pair {"other.txt", 9}}) {
        fs::copy_file(own, m_maps / name);
        fs::last_write_time(m_maps / name, now - std::chrono::hours(hours));
    }
    storeScan(m_maps.path(), clip(), *memory, 2 * size);
    EXPECT_EQ(m_maps.names(),
        (std::vector<std::string> {own.filename().string(), "new.lightmap", "other.txt"}));
    storeScan(m_maps.path(), clip(), *memory, size / 2);
    EXPECT_EQ(m_maps.names().size(), 3U) << "one that is larger than the bound is not kept";
    // Being read is being used.
    fs::last_write_time(own, now - std::chrono::hours(5));
    ASSERT_TRUE(loadScan(m_maps.path(), clip(), index()));
    EXPECT_GT(fs::last_write_time(own), now - std::chrono::hours(1));
}

TEST_F(KeptScan, OfAPartOfTheClipIsNotKept)
{
    ScanMemory memory = *measured(true).memory;
    fs::remove(kept().front());
    memory.scan.missing = {{3}};
    storeScan(m_maps.path(), clip(), memory);
    EXPECT_TRUE(kept().empty());
}

TEST_F(KeptScan, IsDoneWithoutWhereItCannotBeWritten)
{
    const auto memory = measured(true).memory;
    std::ofstream(m_folder / "file") << "in the way";
    storeScan(m_folder / "file", clip(), *memory);
    storeScan({}, clip(), *memory);
    EXPECT_FALSE(loadScan({}, clip(), index()));
}

} // namespace
} // namespace twinlamp::measure
