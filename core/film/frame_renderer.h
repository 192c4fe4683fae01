// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/film/shake.h"
#include "core/film/studio.h"
#include "core/film/transfer.h"
#include "core/footage/picture.h"

#include <array>
#include <cstdint>
#include <limits>
#include <optional>
#include <utility>
#include <vector>

namespace twinlamp::film {

/// Noise-free linear light of one stored frame. R, G, B planes; a grey scene fills the first only.
struct LightPicture
{
    int widthPx = 0;
    int heightPx = 0;
    std::array<std::vector<float>, 3> planes;
};

/// One coded frame: Y', Cb, Cr with chroma halved both ways. 8 bit: one byte a sample, else two.
struct CodedPicture
{
    int widthPx = 0;
    int heightPx = 0;
    int bitDepth = 8;
    footage::ColourDescription colour;
    std::array<std::vector<std::uint8_t>, 3> planes;

    [[nodiscard]] footage::PictureView view() const;
};

/// Light to code values, with the camera's noise. The noise depends on seed and frame number only.
class FrameCoder
{
public:
    explicit FrameCoder(const Scene& scene, const footage::Orientation& orientation);

    /// @param colourBoxes  stored parts that are coloured, on even pixels; the rest is grey
    void code(std::int64_t frame, const LightPicture& light, const std::vector<RectPx>& colourBoxes,
        CodedPicture& out) const;

    [[nodiscard]] CodedPicture blank() const;

private:
    template<typename Sample>
    void codeGrey(std::int64_t frame, const LightPicture& light, CodedPicture& out) const;
    template<typename Sample>
    void codeColour(
        std::int64_t frame, const LightPicture& light, RectPx box, CodedPicture& out) const;
    /// Noisy light of a stretch of one row as indexes into the level table.
    void noisyIndexes(const float* light, int count, std::size_t noiseStart, int* indexes) const;
    [[nodiscard]] std::size_t noisePlace(std::int64_t frame, int row, int plane) const;

    Camera m_camera;
    std::uint64_t m_seed;
    footage::Orientation m_orientation;
    bool m_frameMarks;
    CodeRange m_range;
    LumaWeights m_weights;
    LevelTable m_table;
    std::vector<float> m_noise; ///< mean 0, standard deviation 1
};

/// Pictures of a studio, any frame in any order. One thread at a time; several renderers may share
/// a studio.
class FrameRenderer
{
public:
    explicit FrameRenderer(const Studio& studio);

    /// Noise-free light of a camera frame, before the shake, inside `part` of the stored picture
    /// only.
    void compose(std::int64_t frame, RectPx part, LightPicture& out);
    /// The frame as coded: composed, shaken, with noise. Valid until the next call.
    [[nodiscard]] const CodedPicture& render(std::int64_t frame);

    [[nodiscard]] bool isColoured() const { return !m_colourBoxes.empty(); }

    [[nodiscard]] LightPicture blank() const;

private:
    void findColourBoxes();
    void composeRoom(std::int64_t frame, RectPx part, LightPicture& out);
    void composeSpot(
        std::int64_t frame, const SpotMap& spot, std::size_t index, RectPx part, LightPicture& out);
    void composePanelRows(std::int64_t frame, RectPx part, LightPicture& out);
    void composePanelColumns(std::int64_t frame, RectPx part, LightPicture& out);
    void composeTurnedPanel(std::int64_t frame, RectPx part, LightPicture& out);

    /// What a group of a turned panel shows during one exposure.
    struct Shown
    {
        double exposedMs = std::numeric_limits<double>::quiet_NaN(); ///< start; NaN: none yet
        float lamp = 0.0F;
        std::vector<std::pair<std::size_t, float>> base; ///< motion in px, share
    };

    const Shown& shownBy(std::size_t group, Span exposure);
    void addBaseRow(std::size_t group, Span exposure, int y, RectPx part, LightPicture& out);
    [[nodiscard]] const float* baseRow(int storedRow, std::int64_t linkFrame) const;
    [[nodiscard]] double flicker(Span exposure) const;
    void shake(std::int64_t frame, const LightPicture& in, LightPicture& out) const;

    [[nodiscard]] int planeCount() const { return isColoured() ? 3 : 1; }

    const Studio* m_studio;
    FrameCoder m_coder;
    ShakeMotion m_motion;
    double m_flickerPhase = 0.0;
    std::vector<RectPx> m_colourBoxes;
    std::vector<std::size_t> m_groupHints;
    std::vector<std::size_t> m_spotHints;
    std::vector<float> m_baseShare; ///< per column of the panel
    std::vector<float> m_lampShare;
    std::vector<Shown> m_shown; ///< of the groups of a turned panel
    LightPicture m_light;
    LightPicture m_shaken;
    CodedPicture m_coded;
};

/// Frame number in a frame with frame marks; nothing where there is none.
[[nodiscard]] std::optional<std::int64_t> readFrameMark(const footage::PictureView& picture);

} // namespace twinlamp::film
