// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/quad_px.h"
#include "core/base/result.h"
#include "core/base/units.h"

#include <array>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

/// A scene: everything that simulated footage is made from. The members' defaults are the defaults
/// of the file; every key, its unit and its bounds stand in samples/README.md. Places and sizes are
/// pixels of the upright picture, brightness is linear light as a share of the camera's full scale
/// (means over one period where something pulses), times are ms of real time.
namespace twinlamp::film {

using Colour = std::array<double, 3>; ///< linear R, G, B weights, 0 to 1

enum class ProgrammeKind : std::uint8_t
{
    List, ///< the edges as given
    Random, ///< holds and gaps drawn from ranges
    Periodic ///< a driven lamp: on for half a period, off for half
};

struct Range
{
    double low = 0.0;
    double high = 0.0;
    bool operator==(const Range&) const = default;
};

struct Programme
{
    ProgrammeKind kind = ProgrammeKind::Random;
    bool startLit = false;
    std::vector<double> edgesMs; ///< List: instants at which the lamps switch, rising
    int presses = 10; ///< Random, Periodic: times that the lamps go on and off
    double startMs = 200.0; ///< Random, Periodic: first edge
    Range holdMs {160.0, 280.0}; ///< Random: lit time of each press
    Range gapMs {160.0, 280.0}; ///< Random: dark time between two presses
    double periodMs = 1000.0; ///< Periodic: one whole on-off cycle
    bool operator==(const Programme&) const = default;
};

/// A train of equal pulses.
struct PulseSpec
{
    double periodMs = 1.0;
    double duty = 0.5; ///< lit share of the period
    bool operator==(const PulseSpec&) const = default;
};

struct Lamps
{
    Programme programme;
    double riseMs = 0.0; ///< time constant of switching on; 0: at once
    double fallMs = 0.0; ///< time constant of the afterglow
    std::optional<PulseSpec> pwm; ///< lamps dimmed by pulses
    double skewMs = 0.0; ///< the lamp before the link camera switches this much later
    bool operator==(const Lamps&) const = default;
};

enum class Side : std::uint8_t
{
    Left,
    Right,
    Top,
    Bottom
};

/// A round bright spot.
struct Spot
{
    double x = 0.0; ///< centre, px; for the lamp's image: share of the panel's width
    double y = 0.0;
    double radiusPx = 12.0;
    double softEdgePx = 3.0; ///< width of the fall from full light to none, outside the radius
    double brightness = 0.7;
    Colour colour {1.0, 1.0, 1.0};
    double haloBrightness = 0.0; ///< bloom: light at the radius, falling like a Gaussian outside
    double haloPx = 10.0; ///< standard deviation of that fall
    Side coveredSide = Side::Bottom;
    double coveredShare = 0.0; ///< share of the spot's height or width hidden behind something
    bool operator==(const Spot&) const = default;
};

enum class Follows : std::uint8_t
{
    Lamp, ///< mirrors the reference lamp
    Panel ///< mirrors the lamp's image on the panel
};

struct Decoy
{
    Spot spot;
    Follows follows = Follows::Lamp;
    bool operator==(const Decoy&) const = default;
};

/// Light of the room and what it shows.
struct Room
{
    double brightness = 0.04;
    double textureContrast = 0.3; ///< 0: flat
    double texturePx = 24.0; ///< size of the texture's patches
    double mainsHz = 0.0; ///< 0: none; light flickers at twice this frequency
    double flickerDepth = 0.2; ///< amplitude over mean
    bool operator==(const Room&) const = default;
};

/// A moment within a period: given, or drawn from the seed.
struct Phase
{
    std::optional<double> ms; ///< empty: drawn
    bool operator==(const Phase&) const = default;
};

struct LinkCamera
{
    FrameRate frameRate {60, 1};
    double exposureMs = 4.0;
    double readoutMs = 8.0; ///< from its first to its last row
    Phase phase; ///< start of the exposure of its frame 0, first row
    double clockPpm = 0.0; ///< how far its clock is from the nominal frame rate
    double gain = 1.0; ///< over 1 the lamp saturates this camera
    bool operator==(const LinkCamera&) const = default;
};

enum class JitterKind : std::uint8_t
{
    None,
    Uniform, ///< +- amount
    Normal, ///< standard deviation = amount, cut at 3 of them
    Exponential ///< mean = amount, only later
};

struct Link
{
    double delayMs = 18.0; ///< end of exposure of a frame's first row to the frame being ready
    JitterKind jitter = JitterKind::None;
    double jitterMs = 0.0;
    double lateShare = 0.0;
    double lateMs = 12.0; ///< how much later a late frame is
    double lostShare = 0.0; ///< share of frames at which a loss begins
    int lostBurst = 1; ///< frames lost in one go
    std::vector<std::int64_t> lostFrames; ///< link frames lost for certain
    bool operator==(const Link&) const = default;
};

enum class Direction : std::uint8_t
{
    Down,
    Up,
    LeftToRight,
    RightToLeft,
    AllAtOnce
};

enum class RefreshKind : std::uint8_t
{
    OnArrival, ///< a redraw starts when a frame is ready and the last redraw is over
    Free ///< redraws by the panel's own clock, newest frame that is ready
};

enum class StrobeClock : std::uint8_t
{
    Own,
    Refresh ///< one pulse per redraw
};

struct Strobe
{
    StrobeClock clock = StrobeClock::Own;
    double periodMs = 8.0; ///< Own
    double widthMs = 2.0;
    Phase phase; ///< Own: start of a pulse; Refresh: wait after the redraw's start
    bool rolling = false; ///< the pulse runs over the panel with the sweep
    bool operator==(const Strobe&) const = default;
};

struct Panel
{
    RectPx rect {300, 80, 300, 190}; ///< may reach out of the picture
    std::optional<QuadPx> corners; ///< seen turned or at an angle; rect is then the one around them
    double brightness = 0.12; ///< of the base picture
    double textureContrast = 0.4;
    double texturePx = 16.0;
    double movePx = 0.0; ///< shift of the texture from one link frame to the next
    double scanMs = 8.0; ///< first to last row; no meaning for AllAtOnce
    Direction direction = Direction::Down;
    RefreshKind refresh = RefreshKind::OnArrival;
    FrameRate refreshRate {120, 1}; ///< Free
    Phase refreshPhase; ///< Free
    double riseMs = 0.6; ///< time constant
    double fallMs = 0.6;
    double overdrive = 0.0; ///< share of the step by which the first redraw aims too far
    std::optional<Strobe> strobe;
    Spot lampImage {0.5, 0.5, 18.0, 4.0, 0.5, {1.0, 1.0, 1.0}, 0.0, 10.0, Side::Bottom, 0.0};
    double spill = 0.06; ///< how much the lit lamp brightens the whole panel
    bool operator==(const Panel&) const = default;
};

enum class Transfer : std::uint8_t
{
    Bt709,
    Srgb,
    Gamma22,
    Gamma28,
    Hlg,
    Pq
};

enum class Matrix : std::uint8_t
{
    Bt709,
    Bt601,
    Bt2020
};

struct Shake
{
    double amplitudePx = 0.0; ///< standard deviation in each direction
    double lowHz = 1.0;
    double highHz = 9.0;
    bool operator==(const Shake&) const = default;
};

struct CameraLoss
{
    double share = 0.0; ///< share of frames at which a loss begins
    int burst = 1;
    std::vector<std::int64_t> frames; ///< camera frames lost for certain
    bool operator==(const CameraLoss&) const = default;
};

struct Camera
{
    FrameRate captureRate {480, 1}; ///< as labelled
    double rateErrorPpm = 0.0; ///< true rate over labelled one, minus 1
    double exposureMs = 1.6;
    double lineTimeUs = 0.0; ///< row to row of the stored picture; negative: bottom first
    double shotNoise = 0.012; ///< standard deviation at full scale
    double readNoise = 0.003; ///< standard deviation in the dark
    Transfer transfer = Transfer::Bt709;
    Matrix matrix = Matrix::Bt709;
    bool fullRange = false;
    bool tagColour = true; ///< write transfer, matrix and primaries into the stream
    int bitDepth = 8;
    double pqPeak = 1000.0; ///< cd/m2 of full scale, PQ only
    Shake shake;
    CameraLoss loss;
    bool operator==(const Camera&) const = default;
};

enum class Codec : std::uint8_t
{
    H264,
    Hevc,
    Mjpeg,
    Vp9,
    Av1,
    Mpeg4,
    Ffv1
};

struct ClipFile
{
    std::optional<FrameRate> playRate; ///< empty: the capture rate
    std::string preset = "ultrafast"; ///< H.264 and HEVC
    double quality = 23.0; ///< crf, or the quantiser of MJPEG and MPEG-4; no meaning for FFV1
    double startOffsetMs = 0.0; ///< play time of the first frame
    double stampWobble = 0.0; ///< random part of each time stamp, share of a frame interval
    int rotationDeg = 0; ///< rotation flag; the stored picture lies turned the other way
    int gop = 60;
    int bFrames = 0;
    int bitRateKbit = 0; ///< 0: by quality
    int hiddenFrames = 0; ///< frames before the first shown one, hidden by an edit list
    Codec codec = Codec::H264;
    bool openGop = false; ///< H.264 and HEVC: frames before a keyframe may refer past it
    bool captureRateTag = false;
    bool frameMarks = false; ///< each frame's number as a bar code in the stored top left corner
    bool operator==(const ClipFile&) const = default;
};

enum class GoggleView : std::uint8_t
{
    Link, ///< the lamp is seen through the link
    Direct ///< zero check: the second lamp is in direct view, where its image would be
};

struct Scene
{
    std::string name;
    std::uint64_t seed = 1;
    int widthPx = 640; ///< upright
    int heightPx = 360;
    std::optional<double> durationMs; ///< empty: 250 ms after the last edge
    Lamps lamps;
    Spot referenceLamp {
        140.0, 175.0, 14.0, 4.0, 0.7, {1.0, 1.0, 1.0}, 0.0, 10.0, Side::Bottom, 0.0};
    GoggleView view = GoggleView::Link;
    std::vector<Decoy> decoys;
    Room room;
    LinkCamera linkCamera;
    Link link;
    Panel panel;
    Camera camera;
    ClipFile file;
    std::optional<RectPx> referenceRegion; ///< empty: around the lamp
    std::optional<RectPx> goggleRegion;
    bool operator==(const Scene&) const = default;
};

/// Scene from JSON text. A key that is left out keeps its default; an unknown key is refused by
/// name. `fileName` stands in messages; a "base" in the text is looked up beside it.
/// @error Film/InvalidValue  names the key, what was found and what is possible
/// @error Film/NotFound, NoAccess  the base cannot be read
[[nodiscard]] Result<Scene> parseScene(std::string_view json, std::string_view fileName);

/// Scene from a file, with its bases (JSON merge patch, RFC 7386: the file's own keys win).
/// `changes` is one more patch on top, empty for none.
/// @error as parseScene
[[nodiscard]] Result<Scene> loadScene(
    const std::filesystem::path& file, std::string_view changes = {});

} // namespace twinlamp::film
