// SPDX-License-Identifier: GPL-3.0-or-later
// Pieces of a clip decoded one after another, in GOPs that are left and come back to. What comes
// out is compared with what the ffmpeg program decodes.
#include "core/footage/chunk_decoder.h"
#include "tests/core/footage/clips.h"

#include <gtest/gtest.h>
#include <map>

namespace twinlamp::tests {

namespace {

using footage::ChunkDecoder;
using footage::PictureView;

struct Stream
{
    std::string name;
    Arguments coding;
    int reorder = 0; ///< frames that a decoder may be ahead of what it gives
};

void PrintTo(const Stream& stream, std::ostream* out) { *out << stream.name; }

class KeptDecoders : public testing::TestWithParam<Stream>
{
protected:
    static constexpr std::int64_t gop = 15;

    KeptDecoders()
        : m_clip(makeClip(m_folder, "a.mp4", movingPicture(120) + GetParam().coding))
        , m_index(indexOf(m_clip))
        , m_hashes(pictureHashes(m_clip))
        , m_decoder({m_index, m_visit, 0, {}, m_stopped, [] {}, 3})
    {
    }

    void take(std::int64_t first, std::int64_t last)
    {
        footage::ScanChunk piece = footage::wholeChunk(*m_index, {{first}, {last}});
        piece.goesOn = true;
        ASSERT_TRUE(m_decoder.take(piece));
    }

    void expectSeen(std::int64_t first, std::int64_t last) const
    {
        for (std::int64_t k = first; k < last; ++k) {
            ASSERT_TRUE(m_seen.contains(k)) << k;
            EXPECT_EQ(m_seen.at(k), m_hashes[static_cast<std::size_t>(k)]) << k;
        }
    }

    TemporaryFolder m_folder;
    std::filesystem::path m_clip;
    std::shared_ptr<const footage::ClipIndex> m_index;
    std::vector<std::string> m_hashes;
    std::map<std::int64_t, std::string> m_seen;
    footage::VisitFrame m_visit = [this](FrameIndex k, const PictureView& view, int) {
        EXPECT_FALSE(m_seen.contains(k.value)) << "visited twice: " << k.value;
        m_seen[k.value] = hashOf(view);
    };
    std::atomic<bool> m_stopped {false};
    ChunkDecoder m_decoder;
};

TEST_P(KeptDecoders, GoOnWhereTheyStopped)
{
    take(0, 1);
    take(30, 31);
    take(60, 61);
    take(31, 45);
    take(1, 4);
    take(4, 15);
    expectSeen(0, 15);
    expectSeen(30, 45);
    EXPECT_EQ(m_seen.size(), 31U);
    // Nothing was decoded twice; a decoder that gives pictures in another order than it takes them
    // is ahead by a few, in each GOP that it was left in and at the end of each.
    EXPECT_GE(m_decoder.report().framesDecoded, 31);
    EXPECT_LE(m_decoder.report().framesDecoded, 31 + 3 * GetParam().reorder);
    EXPECT_TRUE(m_decoder.report().missing.empty());
}

TEST_P(KeptDecoders, StartAgainWhereTooManyAreLeft)
{
    for (std::int64_t k = 0; k < 120; k += gop) {
        take(k, k + 2);
    }
    for (std::int64_t k = 0; k < 120; k += gop) {
        take(k + 2, k + gop);
    }
    expectSeen(0, 120);
}

TEST_P(KeptDecoders, SkipFramesThatNobodyAskedFor)
{
    take(15, 16);
    take(20, 22);
    expectSeen(15, 16);
    expectSeen(20, 22);
    EXPECT_EQ(m_seen.size(), 3U);
    take(16, 20); // behind the decoder by now
    expectSeen(15, 22);
}

TEST_P(KeptDecoders, EndWithAPieceThatNothingFollows)
{
    ASSERT_TRUE(m_decoder.take(footage::wholeChunk(*m_index, {{0}, {gop}})));
    ASSERT_TRUE(m_decoder.take(footage::wholeChunk(*m_index, {{gop}, {2 * gop}})));
    expectSeen(0, 2 * gop);
    // Each piece took what it needs and no more: of an open GOP the keyframe that follows as well.
    const std::int64_t most = 2 * gop + (GetParam().name == "OpenGops" ? 2 * 4 : 0);
    EXPECT_LE(m_decoder.report().framesDecoded, most);
    EXPECT_TRUE(m_decoder.report().missing.empty());
}

const Arguments x264 {"-c:v", "libx264", "-preset", "veryfast", "-pix_fmt", "yuv420p", "-g", "15"};

INSTANTIATE_TEST_SUITE_P(Streams, KeptDecoders,
    testing::Values(Stream {"InOrder", x264 + Arguments {"-bf", "0"}, 0},
        Stream {"BFrames", x264 + Arguments {"-bf", "2"}, 3},
        Stream {"OpenGops",
            x264 + Arguments {"-bf", "2", "-x264-params", "open-gop=1:keyint=15:min-keyint=15"},
            4}),
    [](const auto& named) { return named.param.name; });

} // namespace

} // namespace twinlamp::tests
