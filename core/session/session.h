// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"
#include "core/base/measure_options.h"
#include "core/base/rig_check.h"
#include "core/session/correction.h"
#include "core/session/ids.h"
#include "core/session/readout.h"
#include "core/session/shared_value.h"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace twinlamp::session {

/// Every entry has a `place`: lists are shown by rising place, equal places by id. A new entry is
/// put `placeStep` behind the last, so that one can be moved between two others.
inline constexpr std::int64_t placeStep = 1024;

/// The camera and its lamps, as far as they are the same for many clips.
struct Rig
{
    RigId id;
    std::int64_t place = 0;
    std::string name;
    std::string camera; ///< free text
    std::optional<FrameRate> captureRate;
    std::optional<double> exposureMs;
    std::optional<double> lineTimeUs;
    std::optional<double> zeroMs; ///< correction to subtract
    std::optional<double> zeroUncertaintyMs; ///< 95 % half width of it
    /// Nobody presses the switch for a shorter time, lit or dark: a sparse scan relies on it.
    std::optional<Latency> shortestHold;
    std::string notes;
    bool operator==(const Rig&) const = default;
};

/// A longer hold is beyond any bench: a slip of the hand, or seconds for milliseconds.
inline constexpr Latency longestShortestHold {60'000'000'000};

/// A check of a rig, filed with the day on which it was made.
struct RigCheck
{
    RigCheckId id;
    std::int64_t place = 0;
    RigId rig;
    std::string date; ///< ISO, YYYY-MM-DD, of the tester's place
    CheckResult result;
    bool operator==(const RigCheck&) const = default;
};

/// What the link was set to. Units are fixed, everything is optional; empty text says nothing.
struct Conditions
{
    std::string linkCamera;
    std::optional<FrameRate> linkFrameRate; ///< of the link camera
    std::optional<double> linkExposureMs;
    std::optional<int> widthPx; ///< of the picture that the link sends
    std::optional<int> heightPx;
    std::optional<double> bitRateMbit; ///< per second
    std::optional<double> channelMhz; ///< centre frequency
    std::optional<double> channelWidthMhz;
    std::optional<double> outputPowerMw;
    std::optional<double> distanceM;
    std::optional<double> attenuationDb;
    std::string interference;
    std::string goggle;
    std::optional<double> brightnessPercent; ///< of the goggle's panel
    std::optional<double> panelRateHz;
    std::string lampPlace; ///< on the panel: latency depends on it
    std::optional<double> warmUpMinutes;
    std::string antenna;
    std::string firmware;
    std::string notes;
    bool operator==(const Conditions&) const = default;
};

/// One configuration of the link under test.
struct LinkSetting
{
    SettingId id;
    std::int64_t place = 0;
    std::string name; ///< unique in its session
    Conditions conditions;
    std::vector<SettingReadout> readouts {}; ///< what the goggle displayed about itself
    bool operator==(const LinkSetting&) const = default;
};

/// What was pressed between two power-ups of the link.
struct Run
{
    RunId id;
    std::int64_t place = 0;
    SettingId setting;
    std::string name; ///< unique in its setting
    std::string notes;
    bool operator==(const Run&) const = default;
};

/// Where the footage of a clip was, so that it is found again when moved.
struct ClipFile
{
    std::string relativePath; ///< to the folder of the session file; '/' between names
    std::string absolutePath; ///< a hint
    std::string sha256; ///< lower-case hex; empty until it is known
    std::int64_t sizeBytes = 0; ///< 0 until it is known
    bool operator==(const ClipFile&) const = default;
};

/// What a measurement of a clip found, but for its traces: they lie in the session file.
struct ClipMeasurement
{
    measure::MeasureOptions options; ///< that it was made with
    ClipFacts clip;
    RegionSet regions;
    ScanFacts scan;
    std::vector<Press> presses; ///< as measured: corrections by hand stand beside them
    std::optional<PanelTiming> panelTiming;
    std::vector<Sentence> notes;
    TracesId traces; ///< 0: none kept
    bool operator==(const ClipMeasurement&) const = default;
};

/// One footage file filed under a run.
struct Clip
{
    ClipId id;
    std::int64_t place = 0;
    RunId run;
    RigId rig; ///< 0: none named
    ClipFile file;
    /// What the tester asks for now; where it differs from measurement->options, the measurement is
    /// out of date.
    measure::MeasureOptions options;
    SharedValue<ClipMeasurement> measurement; ///< null until measured
    std::vector<PressCorrection> corrections; ///< by rising press index, none of them empty
    std::string notes;
    std::vector<PressReadout> readouts {}; ///< by rising press index, one a press at most
    bool operator==(const Clip&) const = default;
};

/// All of one bench campaign: a regular value. Changed by edits (edit.h), kept in a file by
/// store::SessionFile. Copies share what was measured.
struct Session
{
    std::string name;
    std::string notes;
    std::optional<Latency> lateLimit; ///< budget of every setting
    std::vector<Rig> rigs; ///< each list ordered by (place, id)
    std::vector<LinkSetting> settings;
    std::vector<Run> runs;
    std::vector<Clip> clips;
    std::vector<RigCheck> rigChecks;
    bool operator==(const Session&) const = default;
};

/// Null where there is no such entry. The pointers live as long as the session is not changed.
[[nodiscard]] const Rig* find(const Session& session, RigId id);
[[nodiscard]] const LinkSetting* find(const Session& session, SettingId id);
[[nodiscard]] const Run* find(const Session& session, RunId id);
[[nodiscard]] const Clip* find(const Session& session, ClipId id);
[[nodiscard]] const RigCheck* find(const Session& session, RigCheckId id);
[[nodiscard]] const Rig* findRig(const Session& session, std::string_view name);
[[nodiscard]] const LinkSetting* findSetting(const Session& session, std::string_view name);
[[nodiscard]] const Run* findRun(const Session& session, SettingId setting, std::string_view name);

/// The clip of that content; null for an empty hash.
[[nodiscard]] const Clip* findClip(const Session& session, std::string_view sha256);

/// In the order of their places.
[[nodiscard]] std::vector<const Run*> runsOf(const Session& session, SettingId setting);
[[nodiscard]] std::vector<const Clip*> clipsOf(const Session& session, RunId run);
[[nodiscard]] std::vector<const Clip*> clipsOf(const Session& session, SettingId setting);
[[nodiscard]] std::vector<const RigCheck*> checksOf(const Session& session, RigId rig);
/// The check of that kind with the latest date, of equal ones the last filed; null without any.
[[nodiscard]] const RigCheck* newestCheck(const Session& session, RigId rig, CheckKind kind);
/// Setting that a clip is filed under. @pre the clip's run is in the session
[[nodiscard]] SettingId settingOf(const Session& session, const Clip& clip);

} // namespace twinlamp::session
