// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/store/press_rows.h"

#include "core/session/store/sql_row.h"

#include <array>
#include <charconv>

namespace twinlamp::session::store {

namespace {

constexpr std::string_view pressColumns
    = "clip_id, number, press_index, edge, reference_ns, first_light_ns, half_light_ns, settled_ns,"
      " sweep_start_ns, full_frame_ns, latency_ns, full_frame_latency_ns, uncertainty_ns, accepted,"
      " flags, uncertainty_parts, reference_before, reference_after, goggle_before, goggle_after";

constexpr std::string_view commonMark = "common:";

/// Takes the next word off a text of words with one blank between.
std::string_view nextWord(std::string_view& text)
{
    const std::size_t end = text.find(' ');
    const std::string_view word = text.substr(0, end);
    text = end == std::string_view::npos ? std::string_view {} : text.substr(end + 1);
    return word;
}

std::string flagsText(const Flags& flags)
{
    std::string text;
    for (const Flag flag : flags) {
        text += text.empty() ? "" : " ";
        text += flagId(flag);
    }
    return text;
}

Flags flagsFrom(std::string_view text)
{
    Flags flags;
    while (!text.empty()) {
        const std::string_view word = nextWord(text);
        const auto flag = flagFromId(word);
        if (!flag) {
            throw DamagedSession("an unknown flag, \"" + std::string(word) + "\"");
        }
        flags.push_back(*flag);
    }
    return flags;
}

std::string shortestText(double value)
{
    std::array<char, 32> text {};
    return {text.data(), std::to_chars(text.data(), text.data() + text.size(), value).ptr};
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
    const std::string_view digits = word.substr(equals + 1);
    const auto end = std::from_chars(digits.data(), digits.data() + digits.size(), part.standardMs);
    if (end.ec != std::errc {} || end.ptr != digits.data() + digits.size()) {
        throw DamagedSession("no number, \"" + std::string(digits) + "\"");
    }
    return part;
}

void readPress(Reader& row, Press& press)
{
    std::string flags;
    std::string parts;
    row >> press.index >> press.edge >> press.reference >> press.firstLight >> press.halfLight
        >> press.settled >> press.sweepStart >> press.fullFrame >> press.latency
        >> press.fullFrameLatency >> press.uncertainty >> press.accepted >> flags >> parts
        >> press.referenceBefore >> press.referenceAfter >> press.goggleBefore >> press.goggleAfter;
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
    }
    return text;
}

std::vector<UncertaintyPart> partsFrom(std::string_view text)
{
    std::vector<UncertaintyPart> parts;
    while (!text.empty()) {
        parts.push_back(partFrom(nextWord(text)));
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
