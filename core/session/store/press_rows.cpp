// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/store/press_rows.h"

#include "core/session/store/row_texts.h"
#include "core/session/store/sql_row.h"
#include "core/session/store/trace_blobs.h"

#include <array>
#include <charconv>

namespace twinlamp::session::store {

namespace {

constexpr std::string_view pressColumns
    = "clip_id, number, press_index, edge, reference_ns, first_light_ns, half_light_ns, settled_ns,"
      " sweep_start_ns, full_frame_ns, latency_ns, full_frame_latency_ns, uncertainty_ns, accepted,"
      " flags, uncertainty_parts, reference_before, reference_after, goggle_before, goggle_after,"
      " reference_model_frame, reference_model, goggle_model_frame, goggle_model";

constexpr std::string_view commonMark = "common:";
constexpr std::string_view freedomMark = "/";

std::string shortestText(double value)
{
    std::array<char, 32> text {};
    return {text.data(), std::to_chars(text.data(), text.data() + text.size(), value).ptr};
}

double numberFrom(std::string_view digits)
{
    double value = 0.0;
    const auto end = std::from_chars(digits.data(), digits.data() + digits.size(), value);
    if (end.ec != std::errc {} || end.ptr != digits.data() + digits.size()) {
        throw DamagedSession("no number, \"" + std::string(digits) + "\"");
    }
    return value;
}

UncertaintyPart partFrom(std::string_view word)
{
    UncertaintyPart part;
    if (word.starts_with(commonMark)) {
        part.commonToAll = true;
        word.remove_prefix(commonMark.size());
    }
    const std::size_t equals = word.find('=');
    const auto source = fromWireName<UncertaintySource>(word.substr(0, equals));
    if (!source || equals == std::string_view::npos) {
        throw DamagedSession("an unknown part of an uncertainty, \"" + std::string(word) + "\"");
    }
    part.source = *source;
    std::string_view digits = word.substr(equals + 1);
    if (const std::size_t mark = digits.find(freedomMark); mark != std::string_view::npos) {
        part.degreesOfFreedom = numberFrom(digits.substr(mark + freedomMark.size()));
        digits = digits.substr(0, mark);
    }
    part.standardMs = numberFrom(digits);
    return part;
}

void bindModel(Binder& row, const ModelStretch& model)
{
    if (model.light.empty()) {
        row.null().null();
        return;
    }
    row << model.firstFrame;
    row.blob(lightBytes(model.light));
}

void readModel(Reader& row, ModelStretch& model)
{
    if (row.isNull()) {
        row.skip(2);
        return;
    }
    row >> model.firstFrame;
    model.light = lightFrom(row.next());
}

void readPress(Reader& row, Press& press)
{
    std::string flags;
    std::string parts;
    row >> press.index >> press.edge >> press.reference >> press.firstLight >> press.halfLight
        >> press.settled >> press.sweepStart >> press.fullFrame >> press.latency
        >> press.fullFrameLatency >> press.uncertainty >> press.accepted >> flags >> parts
        >> press.referenceBefore >> press.referenceAfter >> press.goggleBefore >> press.goggleAfter;
    readModel(row, press.referenceModel);
    readModel(row, press.goggleModel);
    press.flags = flagsFrom(flags);
    press.parts = partsFrom(parts);
}

} // namespace

std::string partsText(const std::vector<UncertaintyPart>& parts)
{
    std::string text;
    for (const UncertaintyPart& part : parts) {
        text += text.empty() ? "" : " ";
        text += part.commonToAll ? commonMark : std::string_view {};
        text += wireName(part.source);
        text += "=" + shortestText(part.standardMs);
        if (part.degreesOfFreedom) {
            text += freedomMark;
            text += shortestText(*part.degreesOfFreedom);
        }
    }
    return text;
}

std::vector<UncertaintyPart> partsFrom(std::string_view text)
{
    std::vector<UncertaintyPart> parts;
    while (!text.empty()) {
        parts.push_back(partFrom(takeWord(text)));
    }
    return parts;
}

void insertPresses(SQLite::Database& database, std::int64_t clip, const std::vector<Press>& presses)
{
    SQLite::Statement insert(database, insertInto("presses", pressColumns));
    std::int64_t number = 0;
    for (const Press& press : presses) {
        Binder row(insert);
        row << clip << number++ << press.index << press.edge << press.reference << press.firstLight
            << press.halfLight << press.settled << press.sweepStart << press.fullFrame
            << press.latency << press.fullFrameLatency << press.uncertainty << press.accepted
            << flagsText(press.flags) << partsText(press.parts) << press.referenceBefore
            << press.referenceAfter << press.goggleBefore << press.goggleAfter;
        bindModel(row, press.referenceModel);
        bindModel(row, press.goggleModel);
        row.run();
    }
}

void loadPresses(
    SQLite::Database& database, std::unordered_map<std::int64_t, ClipMeasurement>& measurements)
{
    SQLite::Statement select(
        database, "SELECT " + std::string(pressColumns) + " FROM presses ORDER BY clip_id, number");
    while (select.executeStep()) {
        Reader row(select);
        std::int64_t clip = 0;
        row >> clip;
        row.skip(1);
        const auto found = measurements.find(clip);
        if (found == measurements.end()) {
            throw DamagedSession("presses of a clip that is not measured");
        }
        readPress(row, found->second.presses.emplace_back());
    }
}

} // namespace twinlamp::session::store
