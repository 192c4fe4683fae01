// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/store/measurement_rows.h"

#include "core/session/store/press_rows.h"
#include "core/session/store/row_texts.h"
#include "core/session/store/sql_row.h"

#include <algorithm>
#include <array>
#include <nlohmann/json.hpp>
#include <utility>

namespace twinlamp::session::store {

namespace {

using Json = nlohmann::json;

constexpr std::string_view measurementColumns
    = "clip_id, file, sha256, frames, width_px, height_px, rotation_deg, play_rate_hz,"
      " capture_rate_num, capture_rate_den, capture_rate_source, lost_frames, exposure_ms,"
      " exposure_source, line_time_us, line_time_source,"
      " reference_x, reference_y, reference_width, reference_height,"
      " goggle_x, goggle_y, goggle_width, goggle_height,"
      " panel_x, panel_y, panel_width, panel_height, panel_corners, region_source,"
      " scan_mode, frames_decoded, scan_seconds, shortest_hold_ms,"
      " has_panel_timing, scan_time_ns, sweep_direction, new_frame_ns, new_frame_uncertainty_ms,"
      " refresh_ns, held_share, longest_held_ns, signs_json, notes_json, traces_id";

constexpr std::string_view optionColumns
    = "clip_id, role,"
      " reference_x, reference_y, reference_width, reference_height,"
      " goggle_x, goggle_y, goggle_width, goggle_height,"
      " panel_x, panel_y, panel_width, panel_height, panel_corners, without_panel,"
      " capture_rate_num, capture_rate_den, capture_rate_source, exposure_ms, line_time_us,"
      " link_frame_rate_num, link_frame_rate_den,"
      " edges, search_ms, zero_ms, zero_uncertainty_ms, scan, shortest_hold_ms,"
      " shortest_hold_stated, capture_rate_uncertainty_hz, from_rig, time_base_check_date, "
      "zero_check_date, transfer";

std::string textOf(const Json& json)
{
    // A file name in a note may be of bytes that are no UTF-8.
    return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

/// Words for the options that are the rig's: "capture-rate zero".
constexpr std::array<std::pair<bool measure::FromRig::*, std::string_view>, 5> rigWords {{
    {&measure::FromRig::captureRate, "capture-rate"},
    {&measure::FromRig::exposure, "exposure"},
    {&measure::FromRig::lineTime, "line-time"},
    {&measure::FromRig::zero, "zero"},
    {&measure::FromRig::shortestHold, "shortest-hold"},
}};

std::string rigText(const measure::FromRig& fromRig)
{
    std::string text;
    for (const auto& [member, word] : rigWords) {
        if (fromRig.*member) {
            text += text.empty() ? "" : " ";
            text += word;
        }
    }
    return text;
}

void readRigText(std::string_view text, measure::FromRig& fromRig)
{
    while (!text.empty()) {
        const std::string_view word = takeWord(text);
        const auto known = std::ranges::find(
            rigWords, word, &std::pair<bool measure::FromRig::*, std::string_view>::second);
        if (known == rigWords.end()) {
            throw DamagedSession("an unknown option of the rig, \"" + std::string(word) + "\"");
        }
        fromRig.*(known->first) = true;
    }
}

void bindClipFacts(Binder& row, const ClipFacts& clip)
{
    row << clip.file << clip.sha256 << clip.frames << clip.widthPx << clip.heightPx
        << clip.rotationDeg << clip.playRateHz << clip.captureRate << clip.captureRateSource
        << clip.lostFrames << clip.exposureMs << clip.exposureSource << clip.lineTimeUs
        << clip.lineTimeSource;
}

void readClipFacts(Reader& row, ClipFacts& clip)
{
    row >> clip.file >> clip.sha256 >> clip.frames >> clip.widthPx >> clip.heightPx
        >> clip.rotationDeg >> clip.playRateHz >> clip.captureRate >> clip.captureRateSource
        >> clip.lostFrames >> clip.exposureMs >> clip.exposureSource >> clip.lineTimeUs
        >> clip.lineTimeSource;
}

void bindPanelTiming(Binder& row, const std::optional<PanelTiming>& timing)
{
    const PanelTiming t = timing.value_or(PanelTiming {});
    row << timing.has_value() << t.scan << t.direction << t.newFrameInterval
        << t.newFrameUncertaintyMs << t.refreshInterval << t.heldShare << t.longestHeld
        << textOf(Json(t.signs));
}

void readPanelTiming(Reader& row, std::optional<PanelTiming>& timing)
{
    bool there = false;
    PanelTiming t;
    std::string signs;
    row >> there >> t.scan >> t.direction >> t.newFrameInterval >> t.newFrameUncertaintyMs
        >> t.refreshInterval >> t.heldShare >> t.longestHeld >> signs;
    if (there) {
        t.signs = Json::parse(signs).get<std::vector<std::string>>();
        timing = std::move(t);
    }
}

void insertMeasurement(SQLite::Database& database, ClipKey clip, const ClipMeasurement& measurement)
{
    SQLite::Statement statement(database, insertInto("measurements", measurementColumns));
    Binder row(statement);
    row << clip;
    bindClipFacts(row, measurement.clip);
    row << measurement.regions.reference << measurement.regions.goggle << measurement.regions.panel
        << measurement.regions.panelCorners << measurement.regions.source;
    row << measurement.scan.mode << measurement.scan.framesDecoded << measurement.scan.seconds
        << measurement.scan.shortestHoldMs;
    bindPanelTiming(row, measurement.panelTiming);
    row << notesText(measurement.notes);
    row.orNull(measurement.traces);
    row.run();
}

ClipMeasurement readMeasurement(Reader& row)
{
    ClipMeasurement measurement;
    readClipFacts(row, measurement.clip);
    row >> measurement.regions.reference >> measurement.regions.goggle >> measurement.regions.panel
        >> measurement.regions.panelCorners >> measurement.regions.source;
    row >> measurement.scan.mode >> measurement.scan.framesDecoded >> measurement.scan.seconds
        >> measurement.scan.shortestHoldMs;
    readPanelTiming(row, measurement.panelTiming);
    std::string notes;
    row >> notes;
    measurement.notes = notesFrom(notes);
    if (!row.isNull()) {
        row >> measurement.traces;
    }
    return measurement;
}

void bindOptions(Binder& row, const measure::MeasureOptions& o)
{
    row << o.reference << o.goggle << o.panel << o.panelCorners << o.withoutPanel << o.captureRate
        << o.captureRateSource << o.exposureMs << o.lineTimeUs << o.linkFrameRate << o.edges
        << o.searchMs << o.zeroMs << o.zeroUncertaintyMs << o.scan << o.reliedHoldMs()
        << o.shortestHoldMs.has_value() << o.captureRateUncertaintyHz << rigText(o.fromRig)
        << o.fromRig.timeBaseCheckDate << o.fromRig.zeroCheckDate << o.transfer;
}

void readOptions(Reader& row, measure::MeasureOptions& o)
{
    std::string fromRig;
    double holdMs = 0.0;
    bool isHoldStated = false;
    row >> o.reference >> o.goggle >> o.panel >> o.panelCorners >> o.withoutPanel >> o.captureRate
        >> o.captureRateSource >> o.exposureMs >> o.lineTimeUs >> o.linkFrameRate >> o.edges
        >> o.searchMs >> o.zeroMs >> o.zeroUncertaintyMs >> o.scan >> holdMs >> isHoldStated
        >> o.captureRateUncertaintyHz >> fromRig >> o.fromRig.timeBaseCheckDate
        >> o.fromRig.zeroCheckDate >> o.transfer;
    if (isHoldStated) {
        o.shortestHoldMs = holdMs;
    }
    readRigText(fromRig, o.fromRig);
}

void deleteOf(SQLite::Database& database, const char* table, ClipKey clip)
{
    SQLite::Statement statement(
        database, std::string("DELETE FROM ") + table + " WHERE clip_id = ?");
    Binder row(statement);
    (row << clip).run();
}

/// The press's entry at the end of a clip's list: rows come by rising press.
PressCorrection& correctionOf(std::vector<PressCorrection>& corrections, int press)
{
    const auto at = std::ranges::lower_bound(corrections, press, {}, &PressCorrection::press);
    if (at != corrections.end() && at->press == press) {
        return *at;
    }
    return *corrections.insert(at, PressCorrection {press, {}, std::nullopt});
}

Mark markFrom(const std::string& id)
{
    const auto mark = markFromId(id);
    if (!mark) {
        throw DamagedSession("an unknown mark, \"" + id + "\"");
    }
    return *mark;
}

} // namespace

void writeMeasurement(
    SQLite::Database& database, ClipKey clip, const SharedValue<ClipMeasurement>& measurement)
{
    deleteOf(database, "measurements", clip); // and its presses with it
    SQLite::Statement used(
        database, "DELETE FROM measure_options WHERE clip_id = ? AND role = 'used'");
    Binder row(used);
    (row << clip).run();
    if (measurement) {
        insertMeasurement(database, clip, *measurement);
        writeOptions(database, clip, "used", measurement->options);
        insertPresses(database, clip, measurement->presses);
    }
}

std::unordered_map<ClipKey, ClipMeasurement> loadMeasurements(SQLite::Database& database)
{
    std::unordered_map<ClipKey, ClipMeasurement> measurements;
    SQLite::Statement select(
        database, "SELECT " + std::string(measurementColumns) + " FROM measurements");
    while (select.executeStep()) {
        Reader row(select);
        ClipKey clip = 0;
        row >> clip;
        measurements.emplace(clip, readMeasurement(row));
    }
    for (auto& [clip, options] : loadOptions(database, "used")) {
        if (const auto found = measurements.find(clip); found != measurements.end()) {
            found->second.options = options;
        }
    }
    loadPresses(database, measurements);
    return measurements;
}

void writeOptions(SQLite::Database& database, ClipKey clip, const char* role,
    const measure::MeasureOptions& options)
{
    SQLite::Statement old(database, "DELETE FROM measure_options WHERE clip_id = ? AND role = ?");
    Binder oldRow(old);
    (oldRow << clip << role).run();
    SQLite::Statement statement(database, insertInto("measure_options", optionColumns));
    Binder row(statement);
    row << clip << role;
    bindOptions(row, options);
    row.run();
}

std::unordered_map<ClipKey, measure::MeasureOptions> loadOptions(
    SQLite::Database& database, const char* role)
{
    std::unordered_map<ClipKey, measure::MeasureOptions> all;
    SQLite::Statement select(
        database, "SELECT " + std::string(optionColumns) + " FROM measure_options WHERE role = ?");
    Binder(select) << role;
    while (select.executeStep()) {
        Reader row(select);
        ClipKey clip = 0;
        row >> clip;
        row.skip(1);
        readOptions(row, all[clip]);
    }
    return all;
}

void writeCorrections(
    SQLite::Database& database, ClipKey clip, const std::vector<PressCorrection>& corrections)
{
    deleteOf(database, "moved_marks", clip);
    deleteOf(database, "hand_choices", clip);
    SQLite::Statement marks(
        database, insertInto("moved_marks", "clip_id, press_index, mark, time_ns"));
    SQLite::Statement choices(
        database, insertInto("hand_choices", "clip_id, press_index, accepted, reason"));
    for (const PressCorrection& correction : corrections) {
        for (const MarkCorrection& moved : correction.marks) {
            Binder row(marks);
            (row << clip << correction.press << markId(moved.mark) << moved.time).run();
        }
        if (correction.choice) {
            Binder row(choices);
            (row << clip << correction.press << correction.choice->accepted
                 << correction.choice->reason)
                .run();
        }
    }
}

std::unordered_map<ClipKey, std::vector<PressCorrection>> loadCorrections(
    SQLite::Database& database)
{
    std::unordered_map<ClipKey, std::vector<PressCorrection>> all;
    SQLite::Statement marks(
        database, "SELECT clip_id, press_index, mark, time_ns FROM moved_marks");
    while (marks.executeStep()) {
        Reader row(marks);
        ClipKey clip = 0;
        int press = 0;
        std::string mark;
        MarkCorrection moved;
        row >> clip >> press >> mark >> moved.time;
        moved.mark = markFrom(mark);
        correctionOf(all[clip], press).marks.push_back(moved);
    }
    SQLite::Statement choices(
        database, "SELECT clip_id, press_index, accepted, reason FROM hand_choices");
    while (choices.executeStep()) {
        Reader row(choices);
        ClipKey clip = 0;
        int press = 0;
        HandChoice choice;
        row >> clip >> press >> choice.accepted >> choice.reason;
        correctionOf(all[clip], press).choice = std::move(choice);
    }
    for (auto& [clip, corrections] : all) {
        for (PressCorrection& correction : corrections) {
            std::ranges::sort(correction.marks, {}, &MarkCorrection::mark);
        }
    }
    return all;
}

} // namespace twinlamp::session::store
