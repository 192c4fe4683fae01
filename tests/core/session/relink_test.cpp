// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/relink.h"
#include "tests/core/session/session_samples.h"

#include <fstream>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace twinlamp::session {
namespace {

namespace fs = std::filesystem;
using testing::ElementsAre;
using testing::IsEmpty;

void put(const fs::path& file, const std::string& text)
{
    fs::create_directories(file.parent_path());
    std::ofstream(file) << text;
}

bool textIsHash(const fs::path& file, const std::string& sha256)
{
    std::string text;
    std::getline(std::ifstream(file) >> std::ws, text);
    return text == sha256;
}

/// A session whose clips have the text of their file as hash.
class Relink : public testing::Test
{
protected:
    Relink()
    {
        m_session.settings = {{SettingId {1}, 0, "narrow", {}}};
        m_session.runs = {{RunId {1}, 0, SettingId {1}, "run 1", ""}};
    }

    ClipId clip(const std::string& name, const std::string& hash, std::int64_t size)
    {
        Clip made;
        made.id = ClipId {static_cast<std::int64_t>(m_session.clips.size()) + 1};
        made.place = made.id.value;
        made.run = RunId {1};
        made.file = {name, (m_folder / "gone" / name).string(), hash, size};
        m_session.clips.push_back(made);
        return made.id;
    }

    [[nodiscard]] Relinking relink(const fs::path& folder) const
    {
        const auto result = relinked(m_session, sessionFile(), folder, textIsHash);
        EXPECT_TRUE(result.hasValue());
        return result.hasValue() ? result.value() : Relinking {};
    }

    [[nodiscard]] fs::path sessionFile() const { return m_folder / "bench/x.twinlamp"; }

    samples::TemporaryFolder m_folder;
    Session m_session;
};

TEST_F(Relink, MovedAndRenamedFootageIsFoundByContentAsOneStep)
{
    const ClipId a = clip("a.mp4", "aaaa", 4);
    const ClipId b = clip("b.mp4", "bbbb", 4);
    put(m_folder / "archive/2026/renamed.mp4", "aaaa");
    put(m_folder / "archive/b.mp4", "bbbb");
    const Relinking result = relink(m_folder / "archive");
    EXPECT_THAT(result.found,
        ElementsAre(FoundClip {a, m_folder / "archive/2026/renamed.mp4"},
            FoundClip {b, m_folder / "archive/b.mp4"}));
    EXPECT_THAT(result.missing, IsEmpty());
    EXPECT_EQ(english(result.edit.label), "find 2 clips again");
    const Session after = applied(m_session, result.edit).value();
    EXPECT_EQ(after.clips[0].file.relativePath, "../archive/2026/renamed.mp4");
    EXPECT_EQ(after.clips[0].file.sha256, "aaaa");
    EXPECT_EQ(findClipFile(after.clips[0].file, sessionFile(), textIsHash),
        m_folder / "archive/2026/renamed.mp4");
    EXPECT_EQ(reverted(after, result.edit), m_session);
}

TEST_F(Relink, OtherContentOfTheSameNameAndSizeIsNotTaken)
{
    const ClipId a = clip("a.mp4", "aaaa", 4);
    put(m_folder / "archive/a.mp4", "bbbb");
    const Relinking result = relink(m_folder / "archive");
    EXPECT_THAT(result.missing, ElementsAre(a));
    EXPECT_TRUE(result.edit.isEmpty());
}

TEST_F(Relink, FootageInItsPlaceIsLeftAlone)
{
    clip("a.mp4", "aaaa", 4);
    put(m_folder / "bench/a.mp4", "aaaa");
    put(m_folder / "archive/a.mp4", "aaaa");
    const Relinking result = relink(m_folder / "archive");
    EXPECT_EQ(result.inPlace, 1);
    EXPECT_TRUE(result.edit.isEmpty());
}

TEST_F(Relink, ClipThatWasNeverHashedIsFoundByNameAndSize)
{
    const ClipId a = clip("a.mp4", "", 4);
    const ClipId unknown = clip("b.mp4", "", 0);
    put(m_folder / "archive/other/a.mp4", "aaaa");
    put(m_folder / "archive/a.mp4", "longer");
    put(m_folder / "archive/b.mp4", "bbbb");
    const Relinking result = relink(m_folder / "archive");
    EXPECT_THAT(result.found, ElementsAre(FoundClip {a, m_folder / "archive/other/a.mp4"}));
    EXPECT_THAT(result.missing, ElementsAre(unknown)) << "a name alone says too little";
}

TEST_F(Relink, FolderThatIsNotThereIsAnError)
{
    const auto result = relinked(m_session, sessionFile(), m_folder / "nowhere", textIsHash);
    ASSERT_TRUE(result.isError());
    EXPECT_EQ(result.error().why, Cause::NotFound);
}

TEST_F(Relink, TellsHowFarItIsAndStops)
{
    for (const char* name : {"a.mp4", "b.mp4", "c.mp4"}) {
        clip(name, "aaaa", 4);
    }
    put(m_folder / "archive/other.mp4", "aaaa");
    std::vector<std::int64_t> seen;
    std::stop_source stop;
    std::int64_t last = 3;
    const JobControl control {stop.get_token(), [&](std::int64_t done, std::int64_t total) {
                                  EXPECT_EQ(total, 3);
                                  seen.push_back(done);
                                  if (done == last) {
                                      stop.request_stop();
                                  }
                              }};
    // Also a stop at the very end counts: the last hash may not have been finished.
    EXPECT_TRUE(relinked(m_session, sessionFile(), m_folder / "archive", textIsHash, control)
                    .isCancelled());
    EXPECT_THAT(seen, ElementsAre(0, 1, 2, 3));
    stop = {};
    seen.clear();
    last = 1;
    const JobControl early {stop.get_token(), control.report};
    EXPECT_TRUE(
        relinked(m_session, sessionFile(), m_folder / "archive", textIsHash, early).isCancelled());
    EXPECT_THAT(seen, ElementsAre(0, 1));
}

} // namespace
} // namespace twinlamp::session
